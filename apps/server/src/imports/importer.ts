import { mkdir, readdir, stat, unlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Inject, Injectable, type OnModuleInit } from '@nestjs/common';
import type { ImportKind, ImportReport } from '@rundlet/contracts';
import type { ForecastPort } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { appendUnsealed, JournalRows } from '../database/journal-rows.ts';
import { Reader } from '../database/reader.ts';
import { replay } from '../database/recorded-writes.ts';
import { isUniqueViolation, type Rows, type WritableRows } from '../database/rows.ts';
import { StateStore } from '../database/state-store.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Jobs } from '../jobs/jobs.ts';
import { FORECAST } from '../journal/forecast.port.ts';
import { Clock } from '../platform/clock.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { importFolder } from './import-folder.ts';
import type { Batch, ImportOrder, JournalEnd, Written } from './import-run.ts';

export const IMPORT_JOB = 'import';
const LIMIT_SECONDS = 4 * 3600;
const KEEP_MS = 86_400_000;

/** Imports run as jobs: a worker reads the file and decides, and what it has decided is written here. */
@Injectable()
export class Importer implements OnModuleInit {
  readonly #folder: string;

  constructor(
    private readonly jobs: Jobs,
    private readonly work: UnitOfWork,
    private readonly reader: Reader,
    private readonly clock: Clock,
    @Inject(FORECAST) private readonly forecast: ForecastPort,
    @Inject(SETTINGS) settings: Settings,
  ) {
    this.#folder = importFolder(settings.dataFolder);
  }

  async onModuleInit(): Promise<void> {
    this.jobs.define<ImportOrder & { file: string }, ImportReport>({
      kind: IMPORT_JOB,
      worker: 'imports',
      task: 'run',
      keepsThread: true,
      timeLimitSeconds: () => LIMIT_SECONDS,
      answers: {
        end: () => this.#end(this.reader),
        write: (batch: Batch) => this.#write(batch),
        assess: (input: Parameters<ForecastPort['assess']>[0]) => this.forecast.assess(input),
      },
      finish: async (report) => report,
    });
    await this.#tidy();
  }

  /** The file is put aside first, so that the job can be begun again. @returns the job's id */
  async start(kind: ImportKind, csv: string, apply: boolean, by: string): Promise<string> {
    await mkdir(this.#folder, { recursive: true, mode: 0o700 });
    await this.#tidy();
    const file = `${uuid()}.csv`;
    await writeFile(join(this.#folder, file), csv, { mode: 0o600 });
    return this.jobs.start(IMPORT_JOB, { kind, apply, by, file }, by);
  }

  async #end(rows: Rows): Promise<JournalEnd> {
    const last = await new JournalRows(rows).last();
    return { seq: last?.seq ?? 0, now: this.clock.instant() };
  }

  /** All of it or, when others' entries have come in the way, nothing. */
  async #write(batch: Batch): Promise<Written> {
    try {
      return await this.work.write(async (tx) => {
        const { seq: after, now } = await this.#end(tx);
        if (await hasMovedOn(tx, batch, after)) return { seq: after, now, after: null };
        const seq = await appendUnsealed(tx, batch.entries);
        await replay(batch.writes, tx);
        return { seq, now, after };
      }, 'journal');
    } catch (error) {
      if (!isUniqueViolation(error)) throw error;
      return { ...(await this.#end(this.reader)), after: null };
    }
  }

  async #tidy(): Promise<void> {
    for (const file of await readdir(this.#folder).catch(() => [])) {
      const path = join(this.#folder, file);
      const { mtimeMs } = await stat(path);
      if (this.clock.now().getTime() - mtimeMs > KEEP_MS) await unlink(path);
    }
  }
}

/** Whether others have written meanwhile about what a batch was worked out from. */
async function hasMovedOn(
  tx: WritableRows,
  { restsOn, unowned, basis, own }: Batch,
  last: number,
): Promise<boolean> {
  const mine = own.to > basis ? own : { after: basis, to: basis };
  if (mine.after === basis && mine.to === last) return false;
  const others = await tx.all<{ subjects: string }>(
    sql`SELECT "subjects" FROM "journal_entry" WHERE "seq" > ${basis} AND ("seq" <= ${mine.after} OR "seq" > ${mine.to})`,
  );
  if (others.length === 0) return false;
  const rests = new Set(restsOn);
  for (const { subjects } of others)
    for (const subject of JSON.parse(subjects) as string[])
      if (rests.has(subject) || rests.has(subject.slice(0, subject.indexOf(':') + 1))) return true;
  return new StateStore(tx).isOwned(unowned);
}
