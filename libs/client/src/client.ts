import { Problem, type AnswerOf, type CallOf, type Endpoint } from '@rundlet/contracts';

/** What the client needs of the platform's fetch, so that the library itself knows no platform. */
export type Fetch = (
  url: string,
  init: {
    method: string;
    headers: Record<string, string>;
    body?: string;
    credentials?: 'same-origin';
  },
) => Promise<FetchResponse>;
export interface FetchResponse {
  readonly ok: boolean;
  readonly status: number;
  readonly headers: { get(name: string): string | null };
  json(): Promise<unknown>;
  text(): Promise<string>;
  arrayBuffer(): Promise<ArrayBuffer>;
}

/** The server refused: `problem` is its RFC 9457 body. */
export class RefusedError extends Error {
  override readonly name = 'RefusedError';
  readonly problem: Problem;
  constructor(problem: Problem) {
    super(
      problem.detail ??
        problem.errors?.map((e) => `${e.pointer}: ${e.detail}`).join('; ') ??
        problem.title,
    );
    this.problem = problem;
  }
}

/** The request never got an answer: no network, or the server is gone. It may be sent again. */
export class UnreachableError extends Error {
  override readonly name = 'UnreachableError';
}

export interface ClientOptions {
  readonly fetch: Fetch;
  /** e.g. https://casks.example.org, or empty for the page's own origin. */
  readonly origin: string;
  /** Headers for each call: a device token or the session's CSRF token. */
  readonly headers?: () => Record<string, string>;
}

export class Client {
  readonly #options: ClientOptions;
  constructor(options: ClientOptions) {
    this.#options = options;
  }

  /** Call an endpoint; the answer is checked against its contract. @throws RefusedError, UnreachableError */
  async call<E extends Endpoint>(
    endpoint: E,
    input: CallOf<E> = {} as CallOf<E>,
  ): Promise<AnswerOf<E>> {
    const response = await this.#send(endpoint, input);
    return endpoint.response.parse(await response.json()) as AnswerOf<E>;
  }

  /** Call an endpoint that answers with a file. @throws RefusedError, UnreachableError */
  async file<E extends Endpoint>(
    endpoint: E,
    input: CallOf<E> = {} as CallOf<E>,
  ): Promise<{ bytes: ArrayBuffer; contentType: string; fileName: string | null }> {
    const response = await this.#send(endpoint, input);
    const disposition = response.headers.get('content-disposition');
    return {
      bytes: await response.arrayBuffer(),
      contentType: response.headers.get('content-type') ?? 'application/octet-stream',
      fileName: /filename="([^"]+)"/.exec(disposition ?? '')?.[1] ?? null,
    };
  }

  async #send(
    endpoint: Endpoint,
    input: { params?: unknown; query?: unknown; body?: unknown },
  ): Promise<FetchResponse> {
    const url =
      this.#options.origin +
      pathOf(endpoint.path, input.params as Record<string, unknown> | undefined) +
      queryOf(input.query as Record<string, unknown> | undefined);
    const hasBody = endpoint.method === 'POST';
    let response: FetchResponse;
    try {
      response = await this.#options.fetch(url, {
        method: endpoint.method,
        headers: {
          accept: 'application/json',
          ...(hasBody ? { 'content-type': 'application/json' } : {}),
          ...this.#options.headers?.(),
        },
        ...(hasBody ? { body: JSON.stringify(input.body ?? {}) } : {}),
        credentials: 'same-origin',
      });
    } catch (cause) {
      throw new UnreachableError('The server cannot be reached.', { cause });
    }
    if (response.ok) return response;
    throw new RefusedError(await problemOf(response));
  }
}

async function problemOf(response: FetchResponse): Promise<Problem> {
  const text = await response.text();
  try {
    return Problem.parse(JSON.parse(text));
  } catch {
    return {
      type: 'about:blank',
      title: `The server answered ${String(response.status)}.`,
      status: response.status,
    };
  }
}

/** Path with its parameters put in, percent-encoded. @throws RangeError when one is missing */
export function pathOf(template: string, params: Readonly<Record<string, unknown>> = {}): string {
  return template.replace(/:([A-Za-z]+)/g, (_, name: string) => {
    const value = params[name];
    if (typeof value !== 'string' && typeof value !== 'number')
      throw new RangeError(`the path ${template} needs the parameter ${name}`);
    return encodeURIComponent(String(value));
  });
}

function queryOf(query: Readonly<Record<string, unknown>> = {}): string {
  const parts = Object.entries(query)
    .filter(([, value]) => value !== undefined)
    .map(([name, value]) => `${encodeURIComponent(name)}=${encodeURIComponent(String(value))}`);
  return parts.length === 0 ? '' : `?${parts.join('&')}`;
}
