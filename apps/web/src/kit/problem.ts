import type { Problem } from '@rundlet/contracts';

/** The messages of a refusal, by the field they belong to. */
export interface FieldErrors {
  /** Message for the field at a JSON pointer into the act's body, like `/readings/wetDipMm`. */
  at: (pointer: string) => string | undefined;
  /** Messages no field of this form asked for; show them above the form's button. */
  rest: (pointers: readonly string[]) => readonly string[];
}

/** The pointer without the envelope around the body, so that a form needs to know its own fields only. */
const inBody = (pointer: string): string => pointer.replace(/^#?\/?(body\/){0,2}/, '/');

export function fieldErrors(problem: Problem | null | undefined): FieldErrors {
  const errors = (problem?.errors ?? []).map((error) => ({
    pointer: inBody(error.pointer),
    detail: error.detail,
  }));
  return {
    at: (pointer) => errors.find((error) => error.pointer === pointer)?.detail,
    rest: (pointers) => {
      const left = errors.filter((error) => !pointers.includes(error.pointer));
      if (left.length > 0) return left.map((error) => error.detail);
      if (!problem || errors.length > 0) return [];
      return [problem.detail ?? problem.title];
    },
  };
}

/** A problem made on this side of the network, from a contract's own check. */
export function problemFromIssues(
  issues: readonly { path: readonly PropertyKey[]; message: string }[],
): Problem {
  return {
    type: 'about:blank',
    title: 'Something in this form is missing or out of range.',
    status: 400,
    errors: issues.map((issue) => ({
      pointer: `/${issue.path.map(String).join('/')}`,
      detail: issue.message,
    })),
  };
}
