import { Injectable } from '@nestjs/common';
import type { Stocktake, ZoneAccuracy } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';

interface Row {
  record: string;
  zoneId: string;
  zoneName: string;
  storeName: string;
  expected: number;
  right: number;
  misplaced: number;
  missing: number;
}
/** Signed counts looked back on; older ones are on their sheets. */
const MOST_COUNTS = 200;

/** What signed counts found of the book, zone by zone. */
@Injectable()
export class Accuracy {
  constructor(private readonly reader: Reader) {}

  async history(): Promise<ZoneAccuracy[]> {
    const rows = await this.reader.all<Row>(
      sql`SELECT s."record", z."id" AS "zoneId", z."record" AS "zoneName", o."record" AS "storeName", n."expected", n."right", n."misplaced", n."missing"
          FROM (SELECT l."stocktakeId", p."zoneId", COUNT(*) AS "expected",
                       SUM(CASE WHEN l."state" = 'found' THEN 1 ELSE 0 END) AS "right",
                       SUM(CASE WHEN l."state" = 'misplaced' THEN 1 ELSE 0 END) AS "misplaced",
                       SUM(CASE WHEN l."state" = 'missing' THEN 1 ELSE 0 END) AS "missing"
                FROM "stocktake_line" l JOIN "position" p ON p."id" = l."expectedPositionId"
                WHERE l."state" <> 'left' AND l."stocktakeId" IN
                  (SELECT "id" FROM "stocktake" WHERE "status" = 'signed' ORDER BY "openedAt" DESC LIMIT ${MOST_COUNTS})
                GROUP BY l."stocktakeId", p."zoneId") n
          JOIN "stocktake" s ON s."id" = n."stocktakeId"
          JOIN "zone" z ON z."id" = n."zoneId"
          JOIN "store" o ON o."id" = z."storeId"
          ORDER BY s."openedAt" DESC, z."id"`,
    );
    return rows.map(({ record, zoneName, storeName, ...figures }) => {
      const { id, code, title, signedAt, openedAt } = JSON.parse(record) as Stocktake;
      return {
        stocktakeId: id,
        code,
        title,
        signedAt: signedAt ?? openedAt,
        zoneName: nameIn(zoneName),
        storeName: nameIn(storeName),
        ...figures,
      };
    });
  }
}

const nameIn = (record: string): string => (JSON.parse(record) as { name: string }).name;
