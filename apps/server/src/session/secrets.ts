import { createHash, randomBytes } from 'node:crypto';

/** 256 random bits as text, for cookies, tokens and links. */
export const newSecret = (): string => randomBytes(32).toString('base64url');

/** What is stored of a secret. It is random and long, so one round of SHA-256 is enough. */
export const hashOfSecret = (secret: string): string =>
  createHash('sha256').update(secret).digest('hex');

/** The token that goes with a session's cookie: its holder can work it out, another site cannot. */
export const csrfTokenOf = (sessionSecret: string): string =>
  createHash('sha256').update(`csrf:${sessionSecret}`).digest('base64url');
