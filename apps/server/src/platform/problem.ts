import { STATUS_CODES } from 'node:http';
import { HttpException } from '@nestjs/common';
import type { Problem } from '@rundlet/contracts';
import { DomainError, type DomainErrorCode } from '@rundlet/domain';
import { Refusal } from './refusals.ts';

/** The HTTP status of each of the domain's refusals: 404 what is not there, 409 what clashes with the state, 422 what cannot be. */
const STATUS = {
  'record-not-found': 404,
  'id-taken': 409,
  'code-taken': 409,
  'alias-taken': 409,
  'wrong-check-character': 422,
  'wrong-key': 422,
  'before-fill': 422,
  'in-the-future': 422,
  'cask-already-filled': 409,
  'cask-empty': 409,
  'cask-retired': 409,
  'cask-not-empty': 409,
  'cask-on-hold': 409,
  'cask-reserved': 409,
  overfilled: 422,
  'position-full': 409,
  'not-enough-liquid': 409,
  'impossible-yield': 422,
  'shares-do-not-sum': 422,
  'reading-impossible': 422,
  'different-accounts': 409,
  'different-duty-status': 409,
  'stocktake-closed': 409,
  'stocktake-unresolved': 409,
  'same-person': 409,
  'plan-closed': 409,
  'plan-not-drawn': 409,
  'entry-already-reversed': 409,
  'entry-not-reversible': 409,
  'later-entries-depend': 409,
  'act-id-reused': 409,
  'held-act-settled': 409,
  'month-not-closable': 409,
  'month-closed': 409,
  'setting-wrong': 422,
  'nothing-to-do': 422,
  'reason-needed': 422,
  'signature-wrong': 422,
  'attachment-missing': 409,
} as const satisfies Record<DomainErrorCode, number>;

interface Issue {
  readonly path: readonly PropertyKey[];
  readonly message: string;
}

/** The request breaks its contract; carries every fault with the place it is at. */
export class InvalidRequest extends Error {
  readonly issues: readonly Issue[];
  constructor(issues: readonly Issue[]) {
    super('The request does not match its contract.');
    this.issues = issues;
  }
}

/** RFC 9457 body for anything a request handler can throw. */
export function toProblem(error: unknown, instance?: string): Problem {
  const at = instance === undefined ? {} : { instance };
  if (error instanceof DomainError) return { ...domainProblem(error), ...at };
  if (error instanceof InvalidRequest)
    return {
      type: '/problems/invalid-request',
      title: 'Invalid request',
      status: 400,
      detail: summary(error.issues),
      errors: error.issues.map((i) => ({ pointer: pointer(i.path), detail: i.message })),
      ...at,
    };
  if (error instanceof Refusal)
    return {
      type: `/problems/${error.code}`,
      title: titleOf(error.code),
      status: error.status,
      detail: error.message,
      ...at,
    };
  // RFC 9457 4.2.1: with "about:blank" the title is the status phrase; our own words go in detail.
  if (error instanceof HttpException) return { ...blank(error.getStatus(), error.message), ...at };
  if (isParserError(error)) return { ...blank(error.status, error.message), ...at };
  return { ...blank(500), ...at };
}

function domainProblem(error: DomainError): Problem {
  return {
    // First, so that a detail can never stand in for a member of the problem itself.
    ...error.details,
    type: `/problems/${error.code}`,
    title: titleOf(error.code),
    status: STATUS[error.code],
    detail: error.message,
    ...(error.pointer === null
      ? {}
      : { errors: [{ pointer: `#${error.pointer}`, detail: error.message }] }),
  };
}

const titleOf = (code: string): string =>
  code.charAt(0).toUpperCase() + code.slice(1).replaceAll('-', ' ');

/** RFC 6901 pointer in a URI fragment's form, like `#/body/litres`. */
export function pointer(path: readonly PropertyKey[]): string {
  const steps = path.map((p) => String(p).replaceAll('~', '~0').replaceAll('/', '~1'));
  return `#${steps.map((step) => `/${step}`).join('')}`;
}

function summary(issues: readonly Issue[]): string {
  const told = issues
    .slice(0, 3)
    .map((i) => `${i.path.slice(1).join('.') || String(i.path[0])}: ${i.message}`);
  const more = issues.length - told.length;
  return told.join('; ') + (more > 0 ? `; and ${String(more)} more` : '');
}

const blank = (status: number, detail?: string): Problem => ({
  type: 'about:blank',
  title: STATUS_CODES[status] ?? 'Error',
  status,
  ...(detail === undefined ? {} : { detail }),
});

/** What express's body parser and router throw: client faults with a status that may be shown. */
const isParserError = (e: unknown): e is Error & { status: number } =>
  e instanceof Error &&
  'status' in e &&
  typeof e.status === 'number' &&
  e.status >= 400 &&
  e.status < 500;
