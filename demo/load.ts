import { api, type Act } from '@rundlet/contracts';
import type { Client } from '@rundlet/client';
import type { LoggerFile } from './history.ts';

/** Each batch is one request; the server takes a thousand. */
const BATCH = 500;
const ASK_EVERY_MS = 300;

/** An act of the demo was refused: the demo or the server is wrong, and loading stops here. */
export class DemoRefused extends Error {
  override readonly name = 'DemoRefused';
}

export interface Loaded {
  readonly acts: number;
  readonly alreadyThere: number;
  readonly loggerRows: number;
}

/** People who act in the demo. */
export interface Crew {
  /** whoever does this act */
  clientOf(act: Act): Client;
  readonly keeper: Client;
  readonly blender: Client;
}

/**
 * Sends a history to a server by its API, in order, each act as the person whose work it is. Before the last round of gauging
 * the loggers' files come in and the forecast learns, so that the round meets a forecast that stood before. What is there
 * already stays as it is. @throws DemoRefused naming the first act that was refused
 */
export async function loadHistory(
  history: {
    readonly acts: Iterable<readonly Act[]>;
    readonly loggerFiles: () => Iterable<LoggerFile>;
    readonly lastRoundOn: string;
  },
  crew: Crew,
  tell: (line: string) => void,
): Promise<Loaded> {
  const loaded = { acts: 0, alreadyThere: 0, loggerRows: 0 };
  let forecast = false;
  for (const { batch, client } of batches(history.acts, crew, history.lastRoundOn)) {
    if (!forecast && (batch[0]?.happenedAt ?? '') >= history.lastRoundOn) {
      loaded.loggerRows = await importLoggers(history.loggerFiles(), crew.keeper, tell);
      await calibrate(crew.blender, tell);
      forecast = true;
    }
    const { results } = await client.call(api.journal.submitMany, { body: { acts: batch } });
    for (const [i, result] of results.entries()) {
      if (result.status === 'already-applied') loaded.alreadyThere++;
      else if (result.status !== 'applied') throw new DemoRefused(refusal(batch[i], result));
    }
    loaded.acts += batch.length;
    tell(`${String(loaded.acts)} acts, up to ${batch.at(-1)?.happenedAt.slice(0, 10) ?? ''}`);
  }
  return loaded;
}

async function importLoggers(
  files: Iterable<LoggerFile>,
  keeper: Client,
  tell: (line: string) => void,
): Promise<number> {
  let rows = 0;
  for (const { actId, zoneId, zoneName, logger, csv } of files) {
    tell(`logger file of the ${zoneName}`);
    const report = await keeper.call(api.maturation.importClimate, {
      params: { id: zoneId },
      body: { actId, logger, csv, apply: true },
    });
    if (!report.applied)
      throw new DemoRefused(
        `The logger file of ${zoneName} was refused: ${report.rejected[0]?.reason ?? 'no reason given'}`,
      );
    rows += report.rowsAccepted;
  }
  return rows;
}

async function calibrate(blender: Client, tell: (line: string) => void): Promise<void> {
  const { jobId } = await blender.call(api.maturation.calibrate);
  for (;;) {
    const job = await blender.call(api.jobs.get, { params: { id: jobId } });
    if (job.status === 'done') return;
    if (job.status === 'failed' || job.status === 'cancelled')
      throw new DemoRefused(
        `The forecast could not learn from the regauges: ${job.error ?? job.status}`,
      );
    tell(
      `the forecast learns from the regauges, ${String(Math.round(100 * (job.progress ?? 0)))} %`,
    );
    await new Promise((resolve) => setTimeout(resolve, ASK_EVERY_MS));
  }
}

/** Runs of acts by one person, at most {@link BATCH} long; the last round begins a new one. */
function* batches(
  days: Iterable<readonly Act[]>,
  crew: Crew,
  lastRoundOn: string,
): Generator<{ batch: Act[]; client: Client }> {
  let batch: Act[] = [];
  let client: Client | null = null;
  for (const acts of days)
    for (const act of acts) {
      const by = crew.clientOf(act);
      const full = by !== client || batch.length === BATCH;
      const pause =
        act.happenedAt >= lastRoundOn && (batch[0]?.happenedAt ?? lastRoundOn) < lastRoundOn;
      if (client !== null && (full || pause)) {
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
