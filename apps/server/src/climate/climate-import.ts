import { createHash } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import type { Act, ClimateImportReport, InputOf, api } from '@rundlet/contracts';
import { DomainError, submitAct } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';
import type { WritableRows } from '../database/rows.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Threads } from '../jobs/threads.ts';
import { ActDoor } from '../journal/act-door.ts';
import type { Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import type { WorkerThread } from '../jobs/worker-thread.ts';
import type { ClimateTasks } from '../workers/climate.worker.ts';
import type { Readings } from './logger-readings.ts';

type Body = InputOf<typeof api.maturation.importClimate>['body'];
/** 20 MB of CSV take about ten seconds. */
const READ_LIMIT_SECONDS = 120;

/** Logger files into the readings of a zone. */
@Injectable()
export class ClimateImporter {
  readonly #thread: WorkerThread<ClimateTasks>;

  constructor(
    private readonly door: ActDoor,
    private readonly work: UnitOfWork,
    private readonly records: Records,
    private readonly clock: Clock,
    threads: Threads,
  ) {
    this.#thread = threads.open('climate');
  }

  async import(zoneId: string, body: Body, by: Actor): Promise<ClimateImportReport> {
    const zone = await this.records.need('zone', zoneId);
    const store = await this.records.need('store', zone.storeId);
    const now = this.clock.instant();
    const read = { csv: body.csv, timeZone: store.timeZone, now };
    const { report, readings } = await this.#thread.run('read', read, {
      timeLimitSeconds: READ_LIMIT_SECONDS,
    });
    const { firstAt, lastAt, rowsAccepted, rejectedCount } = report;
    if (!body.apply || firstAt === null || lastAt === null) return { ...report, applied: false };
    const contentSha256 = createHash('sha256').update(body.csv).digest('hex');
    const act: Act = {
      id: body.actId,
      kind: 'climate.import',
      happenedAt: now,
      body: {
        zoneId,
        logger: body.logger,
        contentSha256,
        rowCount: rowsAccepted,
        rejectedCount,
        firstAt,
        lastAt,
      },
    };
    const before = await this.work.write(async (tx) => {
      const context = this.door.context(tx, by);
      const again = await importedBefore(tx, act, contentSha256);
      if (again !== null) return again;
      await submitAct(act, context);
      await context.records.flush(tx);
      await context.journal.flush(tx);
      await insertReadings(tx, zoneId, body.actId, readings);
      return null;
    }, 'journal');
    if (before !== null)
      report.remarks.push(
        `This file was imported on ${before.slice(0, 10)} already; nothing was changed.`,
      );
    return { ...report, applied: true };
  }

  async view(zoneId: string, range: { from?: string | undefined; to?: string | undefined }) {
    await this.records.need('zone', zoneId);
    const imports = await this.records.where(
      'climate-import',
      sql`"zoneId" = ${zoneId}`,
      sql`"firstAt", "id"`,
    );
    const { from, to } = range;
    const view = await this.#thread.run(
      'view',
      { zoneId, from, to },
      { timeLimitSeconds: READ_LIMIT_SECONDS },
    );
    return { zoneId, imports, ...view };
  }
}

/** When this file was imported into this zone, by the same act or another; null when it wasn't. */
async function importedBefore(
  tx: WritableRows,
  act: Extract<Act, { kind: 'climate.import' }>,
  contentSha256: string,
): Promise<string | null> {
  const entry = await tx.one<{ id: string; receivedAt: string }>(
    sql`SELECT "e"."id", "e"."receivedAt" FROM "journal_entry" "e" JOIN "climate_import" "c" ON "c"."id" = "e"."id"
        WHERE "c"."zoneId" = ${act.body.zoneId} AND "c"."contentSha256" = ${contentSha256}`,
  );
  if (entry) return entry.receivedAt;
  const used = await tx.one(sql`SELECT "id" FROM "journal_entry" WHERE "id" = ${act.id}`);
  if (used)
    throw new DomainError(
      'act-id-reused',
      'This act id was used before for something else. Make a new id for a new import.',
      { id: act.id },
      '/body/actId',
    );
  return null;
}

/** SQLite looks a statement's parameters up one by one: with more of them each row takes longer. */
const ROWS_A_STATEMENT = 100;

/** A reading of the same instant from an earlier file is replaced: a corrected file is imported over the wrong one. */
async function insertReadings(
  tx: WritableRows,
  zoneId: string,
  importId: string,
  { at, temperatureC, relativeHumidityPercent }: Readings,
): Promise<void> {
  for (let from = 0; from < at.length; from += ROWS_A_STATEMENT)
    await tx.insertMany(
      'climate_reading',
      ['zoneId', 'at', 'temperatureC', 'relativeHumidityPercent', 'importId'],
      at
        .slice(from, from + ROWS_A_STATEMENT)
        .map((instant, i) => [
          zoneId,
          instant,
          temperatureC[from + i],
          relativeHumidityPercent[from + i],
          importId,
        ]),
      ['zoneId', 'at'],
    );
}
