import compression from 'compression';
import type { NextFunction, Request, Response } from 'express';
import helmet from 'helmet';

/**
 * Response headers. Scripts come from this server only, none inline; WebAssembly may be compiled (the second barcode reader
 * is one), workers may start from blobs, pictures and previews may be made in the page.
 */
export function securityHeaders(https: boolean) {
  return helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
        scriptSrcAttr: ["'none'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        mediaSrc: ["'self'", 'blob:'],
        fontSrc: ["'self'"],
        connectSrc: ["'self'"],
        workerSrc: ["'self'", 'blob:'],
        frameSrc: ["'self'", 'blob:'],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    strictTransportSecurity: https ? { maxAge: 31_536_000, includeSubDomains: false } : false,
    crossOriginEmbedderPolicy: false,
    referrerPolicy: { policy: 'no-referrer' },
  });
}

/** The camera is for scanning; nothing else of the device is asked for. And what the API answers is nobody's to keep. */
export function furtherHeaders(request: Request, response: Response, next: NextFunction): void {
  response.setHeader(
    'permissions-policy',
    'camera=(self), microphone=(), geolocation=(), payment=(), usb=()',
  );
  if (request.path.startsWith('/api/')) response.setHeader('cache-control', 'no-store');
  next();
}

/** Answers that hold a secret are not compressed: their length would tell of it (the BREACH attack). */
export const mayCompress = (request: Request, response: Response): boolean =>
  !/^\/api\/(session|device-tokens)(\/|$)/.test(request.path) &&
  compression.filter(request, response);
