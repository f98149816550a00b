import { api, type Act } from '@rundlet/contracts';
import type { Client } from '@rundlet/client';
import type { LoggerFile } from './history.ts';

/** Each batch is one request; the server takes a thousand. */
const BATCH = 500;

/** An act of the demo was refused: the demo or the server is wrong, and loading stops here. */
export class DemoRefused extends Error {
  override readonly name = 'DemoRefused';
}

export interface LoadProgress {
  readonly acts: number;
  /** date of the last act sent */
  readonly upTo: string;
}

export interface Loaded {
  readonly acts: number;
  readonly alreadyThere: number;
  readonly loggerRows: number;
}

/**
 * Sends a history to a server by its API, in order, each act as the person whose work it is. What is there already stays as
 * it is. @throws DemoRefused naming the first act that was refused
 */
export async function loadHistory(
  history: {
    readonly acts: Iterable<readonly Act[]>;
    readonly loggerFiles: () => Iterable<LoggerFile>;
  },
  clientOf: (act: Act) => Client,
  keeper: Client,
  onProgress: (progress: LoadProgress) => void,
): Promise<Loaded> {
  let acts = 0;
  let alreadyThere = 0;
  for (const { batch, client } of batches(history.acts, clientOf)) {
    const { results } = await client.call(api.journal.submitMany, { body: { acts: batch } });
    for (const [i, result] of results.entries()) {
      if (result.status === 'already-applied') alreadyThere++;
      else if (result.status !== 'applied') throw new DemoRefused(refusal(batch[i], result));
    }
    acts += batch.length;
    onProgress({ acts, upTo: batch.at(-1)?.happenedAt.slice(0, 10) ?? '' });
  }
  let loggerRows = 0;
  for (const { actId, zoneId, zoneName, logger, csv } of history.loggerFiles()) {
    const report = await keeper.call(api.maturation.importClimate, {
      params: { id: zoneId },
      body: { actId, logger, csv, apply: true },
    });
    if (!report.applied)
      throw new DemoRefused(
        `The logger file of ${zoneName} was refused: ${report.rejected[0]?.reason ?? 'no reason given'}`,
      );
    loggerRows += report.rowsAccepted;
  }
  return { acts, alreadyThere, loggerRows };
}

/** Runs of acts by one person, at most {@link BATCH} long. */
function* batches(
  days: Iterable<readonly Act[]>,
  clientOf: (act: Act) => Client,
): Generator<{ batch: Act[]; client: Client }> {
  let batch: Act[] = [];
  let client: Client | null = null;
  for (const acts of days)
    for (const act of acts) {
      const by = clientOf(act);
      if (client !== null && (by !== client || batch.length === BATCH)) {
        yield { batch, client };
        batch = [];
      }
      client = by;
      batch.push(act);
    }
  if (client !== null) yield { batch, client };
}

function refusal(act: Act | undefined, result: { status: string; problem: unknown }): string {
  const words = (result.problem as { detail?: string; title?: string } | null) ?? {};
  return [
    `The server ${result.status === 'held' ? 'held' : 'refused'} act ${act?.id ?? '?'} (${act?.kind ?? '?'} of ${act?.happenedAt ?? '?'}): ${words.detail ?? words.title ?? 'no reason given'}`,
    JSON.stringify(act?.body),
  ].join('\n');
}
