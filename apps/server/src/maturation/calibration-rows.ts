/**
 * What was learnt from the regauges, as the database keeps it: the estate's population under the calibration's own id, and each
 * filling's posterior under the filling's id. Posteriors follow from population, records and climate; they are kept
 * because working out a hundred thousand of them takes minutes.
 */
import type { FillingPosterior, Population } from '@rundlet/maturation';
import sql, { type Sql } from 'sql-template-tag';
import type { Rows, WritableRows } from '../database/rows.ts';
import type { StoredClimates } from './climates.ts';

/** Before this in the order of text there is no calibration's id, after it no filling's (they begin with 0 to 9 or a to f). */
const PREFIX = 'calibration-';
/** An id that tells when: `calibration-2026-11-25T08:01:03.989Z`, as long as a UUID. */
export const calibrationIdAt = (instant: string): string => `${PREFIX}${instant}`;
/** What forecasts rest on before anything was learnt. */
export const PRIORS_ID = 'priors';

export interface StoredCalibration {
  readonly id: string;
  readonly madeAt: string;
  readonly fillings: number;
  readonly regauges: number;
  /** Last journal entry it took into account. */
  readonly seq: number;
  readonly population: Population;
  readonly climates: StoredClimates;
}
export interface StoredPosterior {
  readonly calibrationId: string;
  readonly seq: number;
  readonly posterior: FillingPosterior;
}
interface Row {
  readonly id: string;
  readonly madeAt: string;
  readonly fillings: number;
  readonly regauges: number;
  readonly document: string;
}

const NEWEST = sql`"id" > ${PREFIX} AND "id" < ${`${PREFIX}~`} ORDER BY "id" DESC LIMIT 1`;

export async function latestCalibrationId(rows: Rows): Promise<string> {
  const row = await rows.one<{ id: string }>(sql`SELECT "id" FROM "calibration" WHERE ${NEWEST}`);
  return row?.id ?? PRIORS_ID;
}

export async function latestCalibration(rows: Rows): Promise<StoredCalibration | null> {
  const row = await rows.one<Row>(sql`SELECT * FROM "calibration" WHERE ${NEWEST}`);
  if (!row) return null;
  const { id, madeAt, fillings, regauges } = row;
  const { seq, population, climates } = JSON.parse(row.document) as Pick<
    StoredCalibration,
    'seq' | 'population' | 'climates'
  >;
  return { id, madeAt, fillings, regauges, seq, population, climates };
}

/** Posteriors of the fillings whose ids a statement selects. */
export async function storedPosteriors(
  rows: Rows,
  ids: Sql,
): Promise<Map<string, StoredPosterior>> {
  const found = await rows.all<Pick<Row, 'id' | 'document'>>(
    sql`SELECT "id", "document" FROM "calibration" WHERE "id" IN (${ids})`,
  );
  return new Map(found.map(({ id, document }) => [id, JSON.parse(document) as StoredPosterior]));
}

/** A calibration as the worker hands it over: posteriors as the text that is stored. */
export interface NewCalibration {
  readonly fillings: number;
  readonly regauges: number;
  readonly seq: number;
  readonly population: Population;
  readonly climates: StoredClimates;
  readonly posteriors: readonly {
    readonly fillingId: string;
    readonly regauges: number;
    readonly json: string;
  }[];
}

const OLD_ONES_KEPT = 20;
const COLUMNS = ['id', 'madeAt', 'fillings', 'regauges', 'document'] as const;
const ROWS_A_STATEMENT = 50;

/** The newest one is in force, so a clock that was set back must not put this one behind it. */
async function newIdAt(rows: Rows, instant: string): Promise<string> {
  const newest = await latestCalibrationId(rows);
  const id = calibrationIdAt(instant);
  if (newest === PRIORS_ID || newest < id) return id;
  const next = new Date(newest.slice(PREFIX.length)).getTime() + 1;
  return calibrationIdAt(new Date(next).toISOString());
}

/** @returns the calibration's id */
export async function keepCalibration(
  tx: WritableRows,
  made: NewCalibration,
  madeAt: string,
): Promise<string> {
  const id = await newIdAt(tx, madeAt);
  const { seq, population, climates, fillings, regauges, posteriors } = made;
  await tx.insertMany(
    'calibration',
    COLUMNS,
    [[id, madeAt, fillings, regauges, JSON.stringify({ seq, population, climates })]],
    ['id'],
  );
  for (let from = 0; from < posteriors.length; from += ROWS_A_STATEMENT)
    await tx.insertMany(
      'calibration',
      COLUMNS,
      posteriors
        .slice(from, from + ROWS_A_STATEMENT)
        .map((p) => [
          p.fillingId,
          madeAt,
          1,
          p.regauges,
          `{"calibrationId":${JSON.stringify(id)},"seq":${String(seq)},"posterior":${p.json}}`,
        ]),
      ['id'],
    );
  await tx.run(
    sql`DELETE FROM "calibration" WHERE "id" > ${PREFIX} AND "id" <= (
          SELECT "id" FROM "calibration" WHERE "id" > ${PREFIX} AND "id" < ${`${PREFIX}~`}
          ORDER BY "id" DESC LIMIT 1 OFFSET ${OLD_ONES_KEPT})`,
  );
  return id;
}
