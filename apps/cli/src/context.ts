import { readFile } from 'node:fs/promises';
import { text } from 'node:stream/consumers';
import { Client, signedInClient } from '@rundlet/client';
import { api, type Job } from '@rundlet/contracts';
import { EXIT, Failure } from './failure.ts';

export const DEFAULT_URL = 'http://127.0.0.1:3000';
type Environment = Readonly<Record<string, string | undefined>>;

export interface GlobalOptions {
  readonly url?: string;
  readonly token?: string;
  readonly user?: string;
  readonly json?: boolean;
}

export interface Streams {
  readonly out: { write(content: string | Uint8Array): unknown };
  readonly err: { write(content: string): unknown };
}

/** What every command needs: a client for the server, and one way to answer. */
export interface Context {
  readonly json: boolean;
  readonly environment: Environment;
  client(): Promise<Client>;
  /** A client that is nobody, for what needs no sign-in. */
  stranger(): Client;
  /** What is a file anyway, as it is. */
  pass(content: string | Uint8Array): void;
  /** The answer: `value` for a program, `words` for a person. */
  answer(value: unknown, words: string): void;
  /** Something said while working; never part of the answer. */
  say(line: string): void;
}

export function contextOf(
  options: GlobalOptions,
  environment: Environment,
  { out, err }: Streams,
): Context {
  const origin = (options.url ?? given(environment, 'RUNDLET_URL') ?? DEFAULT_URL).replace(
    /\/$/,
    '',
  );
  let client: Promise<Client> | null = null;
  return {
    json: options.json === true,
    environment,
    client: () => (client ??= connect(origin, options, environment)),
    stranger: () => new Client({ fetch, origin }),
    pass: (content) => {
      out.write(content);
    },
    answer: (value, words) => {
      out.write(options.json === true ? `${JSON.stringify(value, null, 2)}\n` : `${words}\n`);
    },
    say: (line) => {
      err.write(`${line}\n`);
    },
  };
}

async function connect(
  origin: string,
  options: GlobalOptions,
  environment: Environment,
): Promise<Client> {
  // A flag goes before the environment, whichever of the two ways it asks for.
  const token =
    options.token ?? (options.user === undefined ? given(environment, 'RUNDLET_TOKEN') : undefined);
  const user = options.user ?? given(environment, 'RUNDLET_USER');
  if (token !== undefined)
    return new Client({ fetch, origin, headers: () => ({ authorization: `Bearer ${token}` }) });
  if (user === undefined)
    throw new Failure(
      'Say who you are: a device token by --token or RUNDLET_TOKEN, or --user NAME with the password in RUNDLET_PASSWORD.',
      EXIT.usage,
    );
  const password = given(environment, 'RUNDLET_PASSWORD');
  if (password === undefined)
    throw new Failure(`RUNDLET_PASSWORD does not hold the password of ${user}.`, EXIT.usage);
  return signedInClient(fetch, origin, { signInName: user, password });
}

/** A variable of the environment; an empty one counts as absent. */
export const given = (environment: Environment, name: string): string | undefined =>
  environment[name] === '' ? undefined : environment[name];

/** The text of a file, or of standard input for `-`. */
export async function textOf(file: string): Promise<string> {
  if (file === '-') return text(process.stdin);
  try {
    return await readFile(file, 'utf8');
  } catch (error) {
    throw new Failure(`${file} cannot be read: ${(error as Error).message}`, EXIT.usage);
  }
}

export async function jsonOf(file: string): Promise<unknown> {
  const content = await textOf(file);
  try {
    return JSON.parse(content);
  } catch (error) {
    throw new Failure(
      `${file === '-' ? 'Standard input' : file} is not JSON: ${(error as Error).message}`,
      EXIT.usage,
    );
  }
}

const ASK_EVERY_MS = 400;

/** Waits for a job to end and gives its result. @throws Failure when it failed or was cancelled */
export async function jobResult(context: Context, jobId: string): Promise<unknown> {
  const client = await context.client();
  let told = '';
  for (;;) {
    const job: Job = await client.call(api.jobs.get, { params: { id: jobId } });
    if (job.status === 'done') return job.result;
    if (job.status === 'failed' || job.status === 'cancelled')
      throw new Failure(
        `The ${job.kind} job ${job.status}${job.error === null ? '' : `: ${job.error}`}.`,
        EXIT.refused,
        job,
      );
    const progress =
      job.progress === null
        ? job.status
        : `${job.status}, ${String(Math.round(job.progress * 100))} %`;
    if (progress !== told) context.say(`${job.kind}: ${progress}`);
    told = progress;
    await new Promise((resolve) => setTimeout(resolve, ASK_EVERY_MS));
  }
}
