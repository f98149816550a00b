import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { static as serveFolder, type NextFunction, type Request, type Response } from 'express';

const NOT_BUILT = `<!doctype html><meta charset="utf-8"><title>Rundlet</title><p>The web app has not been built. Run <code>npm run build</code>, then load this page again. The API is described at <a href="/api/docs">/api/docs</a>.</p>`;

/** Serves the built web app: its files, and its first page for every address of a screen or of a label. */
export function webApp(folder: string) {
  const files = serveFolder(folder, {
    index: 'index.html',
    setHeaders: (response, file) => {
      // Vite puts a hash of the content into the names of what lies in assets/.
      const isHashed = file.startsWith(join(folder, 'assets'));
      response.setHeader(
        'cache-control',
        isHashed ? 'public, max-age=31536000, immutable' : 'no-cache',
      );
    },
  });
  const firstPage = join(folder, 'index.html');
  return (request: Request, response: Response, next: NextFunction): void => {
    const isPage = request.method === 'GET' || request.method === 'HEAD';
    if (!isPage || /^\/(api|health|ready|metrics)(\/|$)/.test(request.path)) {
      next();
      return;
    }
    files(request, response, (error?: unknown) => {
      if (error) next(error);
      else if (!request.accepts('html') || /\.\w+$/.test(request.path)) next();
      else if (existsSync(firstPage))
        response.sendFile(firstPage, { headers: { 'cache-control': 'no-cache' } });
      else response.status(503).type('html').send(NOT_BUILT);
    });
  };
}
