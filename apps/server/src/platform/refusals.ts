/** Refusals of the HTTP side itself, beside the domain's own. */
export class Refusal extends Error {
  readonly status: number;
  readonly code: string;
  readonly retryAfterSeconds: number | null;
  constructor(
    status: number,
    code: string,
    message: string,
    retryAfterSeconds: number | null = null,
  ) {
    super(message);
    this.status = status;
    this.code = code;
    this.retryAfterSeconds = retryAfterSeconds;
  }
}

export class Unauthenticated extends Refusal {
  constructor(message = 'Sign in first, or send a device token that has not been revoked.') {
    super(401, 'not-signed-in', message);
  }
}
export class Forbidden extends Refusal {
  constructor(message: string) {
    super(403, 'not-allowed', message);
  }
}
export class NotFound extends Refusal {
  constructor(message: string) {
    super(404, 'not-found', message);
  }
}
