import { RefusedError, UnreachableError } from '@rundlet/client';

/** What a run ends with; a script can tell by it what to do. Written into `rundlet --help` too. */
export const EXIT = {
  done: 0,
  /** something broke that should not have */
  broken: 1,
  /** wrong flags or a file that cannot be read */
  usage: 2,
  /** the server refused: rights, rules, or rows of a file that are wrong */
  refused: 3,
  /** nobody answers */
  unreachable: 4,
  /** the journal does not verify, or no plan fits: an answer, and not a good one */
  negative: 5,
} as const;

/** Something to tell in words, with the code to end on. */
export class Failure extends Error {
  override readonly name = 'Failure';
  readonly exit: number;
  readonly details: unknown;
  constructor(message: string, exit: number, details?: unknown) {
    super(message);
    this.exit = exit;
    this.details = details;
  }
}

/** Any error as what to say and how to end. */
export function failureOf(error: unknown): Failure {
  if (error instanceof Failure) return error;
  if (error instanceof RefusedError) return new Failure(words(error), EXIT.refused, error.problem);
  if (error instanceof UnreachableError)
    return new Failure(
      'The server cannot be reached. Is it running, and is --url (or RUNDLET_URL) right?',
      EXIT.unreachable,
    );
  return new Failure(
    error instanceof Error ? (error.stack ?? error.message) : String(error),
    EXIT.broken,
  );
}

function words({ problem }: RefusedError): string {
  const fields = (problem.errors ?? []).map((e) => `\n  ${e.pointer}: ${e.detail}`).join('');
  return `${problem.title}${problem.detail === undefined ? '' : `: ${problem.detail}`}${fields}`;
}
