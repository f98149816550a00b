import { Injectable } from '@nestjs/common';
import type { Filling, LineageKind, RecordOf } from '@rundlet/contracts';
import type { FillingsOfLot, FollowReader } from '@rundlet/domain';
import sql, { join, type Sql } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

const CHUNK = 500;

/** Where each step of the chain keeps what it was made of; the tables are indexed by value. */
const OWNERS = {
  'ferment < harvest-lot': sql`SELECT "ownerId" FROM "ferment_harvest_lot" WHERE "value"`,
  'still-run < ferment': sql`SELECT "ownerId" FROM "still_run_ferment" WHERE "value"`,
  'spirit-lot < still-run': sql`SELECT "ownerId" FROM "spirit_lot_still_run" WHERE "value"`,
  'harvest-lot < plot': sql`SELECT "id" FROM "harvest_lot" WHERE "plotId"`,
  'vat < spirit-lot': sql`SELECT "ownerId" FROM "vat_lot" WHERE "value"`,
  'blend < spirit-lot': sql`SELECT "ownerId" FROM "blend_lot" WHERE "value"`,
  'blend < filling': sql`SELECT "ownerId" FROM "blend_filling" WHERE "value"`,
  'bottling-run < spirit-lot': sql`SELECT "ownerId" FROM "bottling_run_lot" WHERE "value"`,
  'bottling-run < blend': sql`SELECT "ownerId" FROM "bottling_run_blend" WHERE "value"`,
} as const satisfies Readonly<Record<string, Sql>>;

/** The chain from earlier to later records, by index. */
@Injectable()
export class Links implements FollowReader {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
  ) {}

  get<K extends LineageKind>(kind: K, ids: readonly string[]): Promise<RecordOf<K>[]> {
    return this.records.get(kind, ids);
  }

  naming: FollowReader['naming'] = async (kind, by, ids) => {
    const owners = OWNERS[`${kind} < ${by}` as keyof typeof OWNERS];
    const found = new Map<string, RecordOf<typeof kind>>();
    for (let from = 0; from < ids.length; from += CHUNK)
      for (const record of await this.records.where(
        kind,
        sql`"id" IN (${owners} IN (${join(ids.slice(from, from + CHUNK))}))`,
      ))
        found.set(record.id, record);
    return [...found.values()];
  };

  async fillingsWith(
    lotIds: readonly string[],
    most: number,
  ): Promise<readonly Filling[] | readonly FillingsOfLot[]> {
    const lots = sql`"value" IN (${join([...lotIds])})`;
    const ids = await this.reader.all<{ ownerId: string }>(
      sql`SELECT DISTINCT "ownerId" FROM "filling_lot" WHERE ${lots} LIMIT ${most + 1}`,
    );
    if (ids.length <= most)
      return this.records.get(
        'filling',
        ids.map((row) => row.ownerId),
      );
    return this.reader.all<FillingsOfLot>(
      sql`SELECT l."value" AS "lotId", COUNT(*) AS "fillings", SUM(l."amount") * 1.0 / SUM(f."ethanolMg") AS "share"
          FROM "filling_lot" l JOIN "filling" f ON f."id" = l."ownerId" WHERE l.${lots} GROUP BY l."value"`,
    );
  }
}
