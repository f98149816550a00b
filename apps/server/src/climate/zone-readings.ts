/** A zone's readings as the database holds them. */
import type { ClimateView } from '@rundlet/contracts';
import { reduceClimate, type LoggerRow, type MonthlyClimate } from '@rundlet/maturation';
import sql, { empty } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';

/** Readings fetched at once; a zone with ten years of minutes has five million. */
const CHUNK = 50_000;

interface ReadingRow {
  readonly at: string;
  readonly temperatureC: number;
  readonly relativeHumidityPercent: number;
}

export async function zoneReadings(rows: Rows, zoneId: string): Promise<LoggerRow[]> {
  const readings: LoggerRow[] = [];
  for (let after = ''; ;) {
    const chunk = await rows.all<ReadingRow>(
      sql`SELECT "at", "temperatureC", "relativeHumidityPercent" FROM "climate_reading"
          WHERE "zoneId" = ${zoneId} AND "at" > ${after} ORDER BY "at" LIMIT ${CHUNK}`,
    );
    for (const row of chunk) readings.push(row);
    if (chunk.length < CHUNK) return readings;
    after = chunk.at(-1)?.at ?? '';
  }
}

export function dailyReadings(
  rows: Rows,
  zoneId: string,
  { from, to }: { from: string | undefined; to: string | undefined },
): Promise<ClimateView['days']> {
  const since = from === undefined ? empty : sql` AND "at" >= ${from}`;
  const until = to === undefined ? empty : sql` AND "at" < ${`${to}T24`}`;
  return rows.all(
    sql`SELECT SUBSTR("at", 1, 10) AS "on", AVG("temperatureC") AS "meanC", MIN("temperatureC") AS "minC",
          MAX("temperatureC") AS "maxC", AVG("relativeHumidityPercent") AS "relativeHumidityPercent"
        FROM "climate_reading" WHERE "zoneId" = ${zoneId}${since}${until}
        GROUP BY SUBSTR("at", 1, 10) ORDER BY 1`,
  );
}

/** Monthly driving terms of zones, worked out anew only when a zone's imports change. */
export class ZoneMonths {
  readonly #known = new Map<string, { key: string; monthly: readonly MonthlyClimate[] }>();

  async of(rows: Rows, zoneId: string): Promise<readonly MonthlyClimate[]> {
    const imports = await rows.all<{ id: string }>(
      sql`SELECT "id" FROM "climate_import" WHERE "zoneId" = ${zoneId} ORDER BY "id"`,
    );
    const key = imports.map(({ id }) => id).join();
    const known = this.#known.get(zoneId);
    if (known?.key === key) return known.monthly;
    const monthly =
      imports.length === 0 ? [] : reduceClimate(await zoneReadings(rows, zoneId)).monthly;
    this.#known.set(zoneId, { key, monthly });
    return monthly;
  }
}
