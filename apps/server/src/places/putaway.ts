import { Injectable } from '@nestjs/common';
import {
  api,
  type Cask,
  type Filling,
  type InputOf,
  type SuggestedPlace,
} from '@rundlet/contracts';
import { suggestPositions, type Stand, type Stowed } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { placeOf } from './place.ts';

type Query = InputOf<typeof api.places.suggest>['query'];
type Wish = NonNullable<Query['climate']>;
/** Which end of which measure is wished for. */
const WISHES: Record<Wish, { of: 'meanC' | 'humidity'; most: boolean }> = {
  cooler: { of: 'meanC', most: false },
  warmer: { of: 'meanC', most: true },
  damper: { of: 'humidity', most: true },
  drier: { of: 'humidity', most: false },
};
interface Air {
  readonly meanC: number;
  readonly humidity: number;
}

/** Where to put a cask. */
@Injectable()
export class Putaway {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
  ) {}

  /** @throws NotFound */
  async suggest(query: Query): Promise<SuggestedPlace[]> {
    const cask = await this.records.need('cask', query.caskId);
    const vat = query.vatId === undefined ? null : await this.records.need('vat', query.vatId);
    const filling = await this.records.find('filling', cask.fillingId);
    const storeId = query.storeId ?? cask.storeId ?? vat?.storeId ?? (await this.#anyStore());
    if (storeId === null) return [];
    const zones = new Map(
      (await this.records.where('zone', sql`"storeId" = ${storeId}`)).map((zone) => [
        zone.id,
        zone,
      ]),
    );
    const from = await this.records.find('position', query.fromId ?? cask.positionId);
    const airs = query.climate && (await this.#airs([...zones.keys()]));
    const found = suggestPositions({
      cask: {
        ...stowedOf(cask, filling),
        ...(vat && {
          lotId: mostOf(vat.content.ethanolMgByLot),
          accountId: vat.accountId,
        }),
      },
      stands: await this.#stands(storeId, cask.id),
      stowOf: new Map([...zones.values()].map(({ id, stow }) => [id, stow])),
      standsAt: cask.positionId,
      from: from?.storeId === storeId ? from.walkOrder : null,
      climateRank: query.climate && airs && ranked(airs, WISHES[query.climate]),
      limit: query.limit,
    });
    return found.map(({ position, lifts, why }) => {
      const air = airs?.get(position.zoneId);
      return {
        position,
        zoneName: zones.get(position.zoneId)?.name ?? '',
        lifts,
        why: air
          ? [
              `mean of its last year ${air.meanC.toFixed(1)} °C, ${air.humidity.toFixed(0)} %`,
              ...why,
            ]
          : [...why],
      };
    });
  }

  async #anyStore(): Promise<string | null> {
    return (await this.records.where('store', sql`1 = 1`, sql`"code" LIMIT 1`))[0]?.id ?? null;
  }

  async #stands(storeId: string, exceptId: string): Promise<Stand<Stowed>[]> {
    const positions = await this.records.where(
      'position',
      sql`"storeId" = ${storeId}`,
      sql`"walkOrder", "id"`,
    );
    const rows = await this.reader.all<{ cask: string; filling: string | null }>(
      sql`SELECT c."record" AS "cask", f."record" AS "filling" FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId"
          WHERE c."storeId" = ${storeId} AND c."id" <> ${exceptId}`,
    );
    const standing = new Map<string, Stowed[]>();
    for (const row of rows) {
      const cask = JSON.parse(row.cask) as Cask;
      const filling = row.filling === null ? null : (JSON.parse(row.filling) as Filling);
      const here = standing.get(cask.positionId ?? '');
      if (here) here.push(stowedOf(cask, filling));
      else standing.set(cask.positionId ?? '', [stowedOf(cask, filling)]);
    }
    return positions.map((position) => ({
      position: placeOf(position),
      casks: standing.get(position.id) ?? [],
    }));
  }

  /** Means over the year up to each zone's last reading; zones without a logger have none. */
  async #airs(zoneIds: readonly string[]): Promise<Map<string, Air>> {
    const airs = new Map<string, Air>();
    for (const zoneId of zoneIds) {
      const last = await this.reader.one<{ at: string | null }>(
        sql`SELECT MAX("at") AS "at" FROM "climate_reading" WHERE "zoneId" = ${zoneId}`,
      );
      if (!last?.at) continue;
      const since = new Date(Date.parse(last.at) - 365.25 * 86_400_000).toISOString();
      const air = await this.reader.one<Air>(
        sql`SELECT AVG("temperatureC") AS "meanC", AVG("relativeHumidityPercent") AS "humidity" FROM "climate_reading"
            WHERE "zoneId" = ${zoneId} AND "at" > ${since}`,
      );
      if (air) airs.set(zoneId, air);
    }
    return airs;
  }
}

/** 0 for the zone that has most of what is wished for, 1 for the one that has least. */
function ranked(
  airs: ReadonlyMap<string, Air>,
  { of, most }: (typeof WISHES)[Wish],
): Map<string, number> {
  const values = [...airs.values()].map((air) => air[of]);
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const share = (value: number): number => (high > low ? (value - low) / (high - low) : 0);
  return new Map(
    [...airs].map(([id, air]) => [id, most && high > low ? 1 - share(air[of]) : share(air[of])]),
  );
}

const stowedOf = (cask: Cask, filling: Filling | null): Stowed => ({
  lotId: filling && mostOf(filling.lotShares),
  accountId: filling?.accountId ?? null,
  nominalLitres: cask.cooperage.nominalLitres,
  woodSpecies: cask.cooperage.woodSpecies,
});

function mostOf(shares: Readonly<Record<string, number>>): string | null {
  const [most] = Object.entries(shares).sort(([, a], [, b]) => b - a);
  return most?.[0] ?? null;
}
