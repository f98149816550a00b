/** The climate of every zone, without holes. Runs in worker threads. */
import { createHash } from 'node:crypto';
import type { Setting, Store, Zone } from '@rundlet/contracts';
import {
  climatologyFromNormals,
  zoneClimate,
  type ClimateByZone,
  type Climatology,
  type MonthlyClimate,
} from '@rundlet/maturation';
import sql from 'sql-template-tag';
import { z } from 'zod';
import { ZoneMonths } from '../climate/zone-readings.ts';
import type { Rows } from '../database/rows.ts';
import { UNPLACED } from './histories.ts';

/** Setting with a site's monthly means, for estates that have no loggers yet. */
export const NORMALS_SETTING = 'climate.normals';
const Normals = z.object({
  meanTemperatureC: z.array(z.number().min(-40).max(50)).length(12),
  relativeHumidityPercent: z.array(z.number().min(0).max(100)).length(12),
});

export interface Climates {
  /** Tells climates apart. */
  readonly key: string;
  readonly byZone: ClimateByZone;
  readonly zones: ReadonlyMap<string, Zone>;
  readonly stores: ReadonlyMap<string, Store>;
  /** Zones with a logger of their own. */
  readonly logged: ReadonlySet<string>;
  readonly hasNormals: boolean;
}

/** Climates as they are kept with a calibration, so that a thread that has just started need not read every logger again. */
export interface StoredClimates {
  readonly key: string;
  readonly byZone: ClimateByZone;
  readonly logged: readonly string[];
}

/** Keeps what it has worked out until a file is imported, a zone added or a setting changed. */
export class ClimateKeeper {
  readonly #months = new ZoneMonths();
  #kept: { key: string; climates: Climates } | null = null;

  async of(rows: Rows, stored: StoredClimates | null): Promise<Climates> {
    const zones = await records<Zone>(rows, 'zone');
    const stores = await records<Store>(rows, 'store');
    const normals = await normalsOf(rows);
    const imports = await rows.all<{ id: string }>(
      sql`SELECT "id" FROM "climate_import" ORDER BY "id"`,
    );
    const key = keyOf([zones.map(({ id, storeId }) => [id, storeId]), normals, imports]);
    const known =
      this.#kept?.key === key ? this.#kept.climates : stored?.key === key ? stored : null;
    const { byZone, logged } = known ?? (await this.#workOut(rows, zones, normals));
    const climates: Climates = {
      key,
      byZone,
      logged: new Set(logged),
      zones: new Map(zones.map((zone) => [zone.id, zone])),
      stores: new Map(stores.map((store) => [store.id, store])),
      hasNormals: normals !== null,
    };
    this.#kept = { key, climates };
    return climates;
  }

  async #workOut(rows: Rows, zones: readonly Zone[], normals: Climatology | null) {
    const monthly = new Map<string, readonly MonthlyClimate[]>();
    for (const { id } of zones) monthly.set(id, await this.#months.of(rows, id));
    return build(zones, monthly, normals);
  }
}

const keyOf = (of: unknown): string =>
  createHash('sha256').update(JSON.stringify(of)).digest('hex');

function build(
  zones: readonly Zone[],
  monthly: ReadonlyMap<string, readonly MonthlyClimate[]>,
  normals: Climatology | null,
): { byZone: ClimateByZone; logged: ReadonlySet<string> } {
  const logged = new Set(zones.flatMap(({ id }) => (monthly.get(id)?.length ? [id] : [])));
  const more = normals ? { normals } : {};
  /** Loggers of the same store first: its walls are shared. */
  const neighbours = (storeId: string | null, except: string | null) =>
    zones
      .filter(({ id }) => id !== except && logged.has(id))
      .sort((a, b) => Number(b.storeId === storeId) - Number(a.storeId === storeId))
      .map(({ id }) => monthly.get(id) ?? []);
  const byZone = Object.fromEntries(
    zones.map((zone) => [
      zone.id,
      zoneClimate(zone.id, {
        monthly: monthly.get(zone.id) ?? [],
        neighbours: neighbours(zone.storeId, zone.id),
        ...more,
      }),
    ]),
  );
  byZone[UNPLACED] = zoneClimate(UNPLACED, { neighbours: neighbours(null, null), ...more });
  return { byZone, logged };
}

async function normalsOf(rows: Rows): Promise<Climatology | null> {
  const [latest] = await rows.all<{ record: string }>(
    sql`SELECT "record" FROM "setting" WHERE "id" LIKE ${`${NORMALS_SETTING}@%`} ORDER BY "effectiveFrom" DESC LIMIT 1`,
  );
  const given = latest && Normals.safeParse((JSON.parse(latest.record) as Setting).value);
  return given?.success ? climatologyFromNormals(given.data) : null;
}

async function records<T>(rows: Rows, table: 'zone' | 'store'): Promise<T[]> {
  const found = await rows.all<{ record: string }>(
    table === 'zone'
      ? sql`SELECT "record" FROM "zone" ORDER BY "id"`
      : sql`SELECT "record" FROM "store" ORDER BY "id"`,
  );
  return found.map(({ record }) => JSON.parse(record) as T);
}

/** Sentences on where a zone's climate comes from, for whoever reads a forecast made with it. */
export function climateWords(climates: Climates, zoneId: string): string {
  const climate = climates.byZone[zoneId];
  const name = climates.zones.get(zoneId)?.name ?? 'A cask without a place on record';
  if (!climate) return `${name}: no climate.`;
  const measured = Math.round(100 * (1 - climate.filledShare));
  if (climates.logged.has(zoneId))
    return `${name}: ${String(measured)} % of the months since its first reading were measured by its own logger, the rest was filled from neighbours and its usual year; later months follow its usual year.`;
  if (climates.logged.size > 0)
    return `${name}: no logger of its own; the climate of the nearest logged zone was taken.`;
  if (climates.hasNormals)
    return `${name}: no logger anywhere; the site’s monthly normals were taken.`;
  return `${name}: no logger and no normals; 12 °C with a yearly swing of 4 °C and 75 % relative humidity were assumed.`;
}
