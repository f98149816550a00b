import { Injectable } from '@nestjs/common';
import type { StoreView } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { PER_LITRE } from '../database/sums.ts';
import { Records } from '../database/records.ts';

/** Stores with their zones and what lies in them, from the sums that are kept. */
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
        sql`SELECT * FROM "room_sum"`,
      ),
      this.reader.all<{ zoneId: string; bulk: number; lpa: number }>(
        sql`SELECT "key" AS "zoneId", "bulkMicrolitres" AS "bulk", "pureMicrolitres" AS "lpa" FROM "stock_sum" WHERE "dimension" = 'zone'`,
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
            bulkLitresAt20C: (contentOf.get(zone.id)?.bulk ?? 0) / PER_LITRE,
            litresPureAlcohol: (contentOf.get(zone.id)?.lpa ?? 0) / PER_LITRE,
          },
        })),
    }));
  }
}
