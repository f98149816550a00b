import { json, type NextFunction, type RequestHandler, type Response } from 'express';
import type { RundletRequest } from './actor.ts';

/** Whoever has not signed in has nothing long to say. */
const STRANGER = json({ limit: '20kb', strict: true });
const ORDINARY = json({ limit: '1mb', strict: true });
/** A thousand counted casks, or the reconciliation of ten thousand lines. */
const ACTS = json({ limit: '4mb', strict: true });
/** A photograph of 10 MB, in base64. */
const ATTACHMENTS = json({ limit: '14mb', strict: true });
/** Files of rows: casks to import, a logger's year. */
const FILES = json({ limit: '25mb', strict: true });

/** Parses JSON bodies, each route up to what it may need. Runs after {@link Identify}. */
export function parseBodies(request: RundletRequest, response: Response, next: NextFunction): void {
  parserFor(request)(request, response, next);
}

function parserFor({ actor, path, method }: RundletRequest): RequestHandler {
  if (method !== 'POST') return (_, __, next) => next();
  if (!actor) return STRANGER;
  if (
    path.startsWith('/api/imports/') ||
    path === '/api/epcis/imports' ||
    /^\/api\/zones\/[^/]+\/climate$/.test(path)
  )
    return FILES;
  if (path.startsWith('/api/attachments/')) return ATTACHMENTS;
  return path.startsWith('/api/acts') ? ACTS : ORDINARY;
}
