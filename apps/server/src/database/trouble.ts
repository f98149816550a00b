import { QueryFailedError } from 'typeorm';
import { Refusal } from '../platform/refusals.ts';

/** PostgreSQL's classes: connection lost, out of resources, an operator's or the system's doing (its manual, appendix A). */
const POSTGRES_CLASSES = ['08', '53', '57', '58'];
const CONNECTING = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'ETIMEDOUT',
  'EPIPE',
  'ENOTFOUND',
  'EAI_AGAIN',
  'EHOSTUNREACH',
]);
/** What the PostgreSQL client says without a code. */
const LOST =
  /connection (terminated|error)|terminated unexpectedly|not queryable|timeout exceeded when trying to connect/i;
const FULL = new Set(['SQLITE_FULL', '53100', 'ENOSPC', 'EDQUOT', 'EFBIG']);
const RETRY_AFTER_SECONDS = 5;

/** What to tell when it is the database that fails and not the request: it may be sent again. Null for anything else. */
export function databaseTrouble(error: unknown): Refusal | null {
  const cause = error instanceof QueryFailedError ? (error.driverError as unknown) : error;
  if (!(cause instanceof Error)) return null;
  const { code } = cause as { code?: unknown };
  const told = typeof code === 'string' ? code : '';
  if (FULL.has(told) || /disk I\/O error|database or disk is full/.test(cause.message))
    return new Refusal(
      507,
      'disk-full',
      'The disk that holds the database is full or fails. Nothing was written. Make room, then send this again.',
      RETRY_AFTER_SECONDS,
    );
  const isAway =
    CONNECTING.has(told) ||
    told === 'SQLITE_BUSY' ||
    (told.length === 5 && POSTGRES_CLASSES.includes(told.slice(0, 2))) ||
    LOST.test(cause.message);
  return isAway
    ? new Refusal(
        503,
        'database-away',
        'The database does not answer at the moment. Send this again; what was written already is not written twice.',
        RETRY_AFTER_SECONDS,
      )
    : null;
}
