import { Injectable } from '@nestjs/common';
import type {
  Stocktake,
  StocktakeLine,
  StocktakeLineView,
  StocktakeTally,
} from '@rundlet/contracts';
import sql, { join, raw, type Sql } from 'sql-template-tag';
import { allOf, beyond, orderBy, pageOf, readKey, type Page } from '../database/page.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

type LineState = StocktakeLine['state'] | 'twice' | 'damaged';

interface LineRow {
  walkOrder: number;
  id: string;
  record: string;
  expected: string | null;
  found: string | null;
  caskKind: string | null;
  woodSpecies: string | null;
}

/** Where nothing says where a line belongs, it comes last. */
const NOWHERE = 2_147_483_647;

/** Stock-takes, counted up in the database. */
@Injectable()
export class StocktakeViews {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
  ) {}

  async page(query: {
    after?: string | undefined;
    limit: number;
  }): Promise<Page<{ stocktake: Stocktake; tally: StocktakeTally }>> {
    const page = await this.records.page(
      'stocktake',
      { column: 'openedAt', direction: 'desc' },
      query,
    );
    const tallies = await this.tallies(page.rows.map((s) => s.id));
    return {
      rows: page.rows.map((stocktake) => ({ stocktake, tally: tallies.get(stocktake.id) ?? NONE })),
      next: page.next,
    };
  }

  /** @throws NotFound */
  async one(id: string): Promise<{ stocktake: Stocktake; tally: StocktakeTally }> {
    const stocktake = await this.records.need('stocktake', id);
    return { stocktake, tally: (await this.tallies([id])).get(id) ?? NONE };
  }

  /** Its lines in walking order of where each was expected, or else found. @throws NotFound */
  async lines(
    id: string,
    query: { after?: string | undefined; limit: number; state?: LineState | undefined },
  ): Promise<Page<StocktakeLineView>> {
    await this.records.need('stocktake', id);
    const walkOrder = sql`COALESCE(e."walkOrder", p."walkOrder", ${raw(String(NOWHERE))})`;
    const order = [walkOrder, sql`l."id"`];
    const conditions = [sql`l."stocktakeId" = ${id}`];
    if (query.state !== undefined) conditions.push(isIn(query.state));
    if (query.after !== undefined)
      conditions.push(beyond(order, 'asc', readKey(query.after, ['number', 'string'])));
    const rows = await this.reader.all<LineRow>(
      sql`SELECT ${walkOrder} AS "walkOrder", l."id", l."record", e."code" AS "expected", p."code" AS "found", c."caskKind", c."woodSpecies"
          FROM "stocktake_line" l
          LEFT JOIN "position" e ON e."id" = l."expectedPositionId"
          LEFT JOIN "position" p ON p."id" = l."foundPositionId"
          LEFT JOIN "cask" c ON c."id" = l."caskId"
          WHERE ${allOf(conditions)} ORDER BY ${orderBy(order, 'asc')} LIMIT ${query.limit + 1}`,
    );
    const page = pageOf(rows, query.limit, (row) => [row.walkOrder, row.id]);
    return { rows: page.rows.map(viewOf), next: page.next };
  }

  /** Every line, in walking order. @throws NotFound */
  async allLines(id: string): Promise<StocktakeLineView[]> {
    const lines: StocktakeLineView[] = [];
    let after: string | undefined;
    do {
      const page = await this.lines(id, { limit: 1000, after });
      lines.push(...page.rows);
      after = page.next ?? undefined;
    } while (after !== undefined);
    return lines;
  }

  private async tallies(ids: readonly string[]): Promise<Map<string, StocktakeTally>> {
    if (ids.length === 0) return new Map();
    const count = (condition: Sql) => sql`SUM(CASE WHEN ${condition} THEN 1 ELSE 0 END)`;
    const rows = await this.reader.all<StocktakeTally & { stocktakeId: string }>(
      sql`SELECT "stocktakeId",
                 ${count(sql`"expectedPositionId" IS NOT NULL`)} AS "expected",
                 ${count(sql`"state" = 'found' AND "expectedPositionId" IS NOT NULL`)} AS "found",
                 ${count(sql`"state" = 'misplaced'`)} AS "misplaced",
                 ${count(sql`"state" = 'missing'`)} AS "missing",
                 ${count(sql`"state" = 'unknown'`)} AS "unknown",
                 ${count(sql`"timesCounted" > 1`)} AS "twice",
                 ${count(sql`"damagedLabel" = ${true}`)} AS "damagedLabels",
                 ${count(sql`"state" = 'expected'`)} AS "stillToFind",
                 ${count(sql`"state" = 'left'`)} AS "left",
                 ${count(sql`"state" = 'found' AND "expectedPositionId" IS NULL`)} AS "extra"
          FROM "stocktake_line" WHERE "stocktakeId" IN (${join([...ids])}) GROUP BY "stocktakeId"`,
    );
    return new Map(rows.map(({ stocktakeId, ...tally }) => [stocktakeId, tally]));
  }
}

const NONE: StocktakeTally = {
  expected: 0,
  found: 0,
  misplaced: 0,
  missing: 0,
  unknown: 0,
  twice: 0,
  damagedLabels: 0,
  stillToFind: 0,
  left: 0,
  extra: 0,
};

function isIn(state: LineState): Sql {
  if (state === 'twice') return sql`l."timesCounted" > 1`;
  if (state === 'damaged') return sql`l."damagedLabel" = ${true}`;
  return sql`l."state" = ${state}`;
}

const viewOf = (row: LineRow): StocktakeLineView => ({
  line: JSON.parse(row.record) as StocktakeLine,
  expectedPositionCode: row.expected,
  foundPositionCode: row.found,
  caskLine: row.caskKind === null ? null : `${row.caskKind}, ${row.woodSpecies ?? ''}`,
});
