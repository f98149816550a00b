import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { NextFunction, Request, Response } from 'express';

/** Where phones fetch the estate's own certificate authority; the web app's page on HTTPS leads here. */
export const AUTHORITY_PATH = '/authority.crt';

/** Hands out the public certificate that `rundlet certificate` made, where there is one; its key stays where it is. */
export function authorityFile(dataFolder: string) {
  const file = join(dataFolder, 'tls', 'authority.crt');
  return (request: Request, response: Response, next: NextFunction): void => {
    if (request.path !== AUTHORITY_PATH || request.method !== 'GET' || !existsSync(file)) {
      next();
      return;
    }
    response.sendFile(file, {
      dotfiles: 'allow',
      headers: {
        'content-type': 'application/x-x509-ca-cert',
        'content-disposition': 'attachment; filename="rundlet-authority.crt"',
        'cache-control': 'no-cache',
      },
    });
  };
}
