import type { Client } from '@rundlet/client';
import { api, type ImportKind, type ImportReport, type Job } from '@rundlet/contracts';

const ASK_EVERY_MS = 20;

/** The job once it is as wanted. */
export async function until(client: Client, id: string, is: (job: Job) => boolean): Promise<Job> {
  for (;;) {
    const job = await client.call(api.jobs.get, { params: { id } });
    if (is(job)) return job;
    await new Promise((go) => setTimeout(go, ASK_EVERY_MS));
  }
}
export const isOver = (job: Job): boolean => job.finishedAt !== null;

/** Imports a file and gives the report. @throws Error when the job did not end as it should */
export async function importCsv(
  client: Client,
  kind: ImportKind,
  csv: string,
  apply = true,
): Promise<ImportReport> {
  const { jobId } = await client.call(api.imports.importCsv, {
    params: { kind },
    body: { csv, apply },
  });
  const { status, error, result } = await until(client, jobId, isOver);
  if (status !== 'done') throw new Error(`The import ${status}: ${String(error)}`);
  return result as ImportReport;
}

/** Starts a blend that takes its whole time: very narrow windows over casks of which none fits. */
export async function longBlend(client: Client): Promise<string> {
  const target = {
    bulkLitresAt20C: 1234.5,
    volumeTolerancePercent: 0.001,
    strengthPercentVol: 46,
    strengthTolerancePercentVol: 0.001,
  };
  const { jobId } = await client.call(api.blends.solve, {
    body: { blendOn: '2090-01-01', target, parts: 'both', timeLimitSeconds: 120 },
  });
  return jobId;
}
