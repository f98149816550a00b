import { Injectable } from '@nestjs/common';
import type { StoreView } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

/** Stores with their zones and what lies in them, summed in the database. */
@Injectable()
export class Stores {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
  ) {}

  async all(): Promise<StoreView[]> {
    const [stores, zones, places, contents] = await Promise.all([
      this.records.where('store', sql`1 = 1`, sql`"code"`),
      this.records.where('zone', sql`1 = 1`, sql`"code"`),
      this.reader.all<{ zoneId: string; positions: number; capacity: number; occupied: number }>(
        sql`SELECT "zoneId", COUNT(*) AS "positions", SUM("capacity") AS "capacity", SUM("occupied") AS "occupied" FROM "position" GROUP BY "zoneId"`,
      ),
      this.reader.all<{ zoneId: string; bulk: number; lpa: number }>(
        sql`SELECT "zoneId", SUM("bulkLitresAt20C") AS "bulk", SUM("litresPureAlcohol") AS "lpa" FROM "filling" WHERE "status" = 'maturing' AND "zoneId" IS NOT NULL GROUP BY "zoneId"`,
      ),
    ]);
    const placesOf = new Map(places.map((row) => [row.zoneId, row]));
    const contentOf = new Map(contents.map((row) => [row.zoneId, row]));
    return stores.map((store) => ({
      store,
      zones: zones
        .filter((zone) => zone.storeId === store.id)
        .map((zone) => ({
          zone,
          positions: placesOf.get(zone.id)?.positions ?? 0,
          capacity: placesOf.get(zone.id)?.capacity ?? 0,
          casks: placesOf.get(zone.id)?.occupied ?? 0,
          figures: {
            bulkLitresAt20C: contentOf.get(zone.id)?.bulk ?? 0,
            litresPureAlcohol: contentOf.get(zone.id)?.lpa ?? 0,
          },
        })),
    }));
  }
}
