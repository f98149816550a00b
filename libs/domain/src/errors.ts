/** Every way the domain refuses. The HTTP status of each is decided in one table in apps/server. */
export const DOMAIN_ERROR_CODES = [
  'record-not-found',
  'id-taken',
  'code-taken',
  'alias-taken',
  'wrong-check-character',
  'wrong-key',
  'before-fill',
  'in-the-future',
  'cask-already-filled',
  'cask-empty',
  'cask-retired',
  'cask-not-empty',
  'cask-on-hold',
  'cask-reserved',
  'overfilled',
  'position-full',
  'not-enough-liquid',
  'impossible-yield',
  'shares-do-not-sum',
  'reading-impossible',
  'different-accounts',
  'different-duty-status',
  'stocktake-closed',
  'stocktake-unresolved',
  'same-person',
  'plan-closed',
  'plan-not-drawn',
  'entry-already-reversed',
  'entry-not-reversible',
  'later-entries-depend',
  'act-id-reused',
  'held-act-settled',
  'month-not-closable',
  'month-closed',
  'setting-wrong',
  'nothing-to-do',
  'reason-needed',
  'signature-wrong',
  'attachment-missing',
] as const;
export type DomainErrorCode = (typeof DOMAIN_ERROR_CODES)[number];

/** A refusal with its reason in words: what is wrong, where, and what would be right. Nothing has been changed. */
export class DomainError extends Error {
  override readonly name = 'DomainError';
  readonly code: DomainErrorCode;
  readonly details: Readonly<Record<string, unknown>>;
  /** JSON pointer into the act's body, when one field is at fault. */
  readonly pointer: string | null;
  constructor(
    code: DomainErrorCode,
    message: string,
    details: Readonly<Record<string, unknown>> = {},
    pointer: string | null = null,
  ) {
    super(message);
    this.code = code;
    this.details = details;
    this.pointer = pointer;
  }
}
