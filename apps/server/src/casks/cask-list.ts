import { Injectable } from '@nestjs/common';
import type { Cask, CaskQuery, CaskRow, Filling } from '@rundlet/contracts';
import { normaliseCode } from '@rundlet/identifiers';
import sql, { type Sql } from 'sql-template-tag';
import { allOf, beyond, keyOf, orderBy, readKey, type Page } from '../database/page.ts';
import { Reader } from '../database/reader.ts';
import { lastDay, startsWith } from '../database/ranges.ts';
import type { SqlValue } from '../database/state-table.ts';

interface FoundRow {
  cask: string;
  filling: string | null;
  positionCode: string | null;
  sortedBy: SqlValue;
  code: string;
}

/** What each order is by; all but the code belong to the filling. */
const SORTED_BY = {
  filledAt: { column: sql`f."filledAt"`, type: 'string' },
  lastGaugedAt: { column: sql`f."lastGaugedAt"`, type: 'string' },
  strength: { column: sql`f."strengthPercentVol"`, type: 'number' },
  litresPureAlcohol: { column: sql`f."litresPureAlcohol"`, type: 'number' },
} as const;

/** The stock list. */
@Injectable()
export class CaskList {
  constructor(private readonly reader: Reader) {}

  async page(query: CaskQuery): Promise<Page<CaskRow>> {
    const page =
      query.sort === 'code' ? await this.byCode(query) : await this.byFilling(query, query.sort);
    return { rows: page.rows.map(rowOf), next: page.next };
  }

  private async byCode(query: CaskQuery): Promise<Page<FoundRow>> {
    const { direction, limit } = query;
    const columns = [sql`c."code"`];
    const conditions = [...ofCask(query), ...ofFilling(query)];
    if (query.after !== undefined)
      conditions.push(beyond(columns, direction, readKey(query.after, ['string'])));
    const rows = await this.reader.all<FoundRow>(
      sql`SELECT ${FIELDS}, c."code" AS "sortedBy" FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId" ${WITH_POSITION}
          WHERE ${allOf(conditions)} ORDER BY ${orderBy(columns, direction)} LIMIT ${limit + 1}`,
    );
    return cut(rows, limit, (row) => [row.code]);
  }

  /** Filled casks in the wanted order, and behind them, whichever way it runs, the empty ones by their code. */
  private async byFilling(query: CaskQuery, sort: keyof typeof SORTED_BY): Promise<Page<FoundRow>> {
    const { direction, limit } = query;
    const { column, type } = SORTED_BY[sort];
    const columns = [column, sql`f."caskCode"`];
    const key = query.after === undefined ? null : readEither(query.after, type);
    const filled = key?.emptiesAfter === undefined;
    const conditions = [sql`f."status" = 'maturing'`, ...ofCask(query), ...ofFilling(query)];
    if (key?.after) conditions.push(beyond(columns, direction, key.after));
    const rows = filled
      ? await this.reader.all<FoundRow>(
          sql`SELECT ${FIELDS}, ${column} AS "sortedBy" FROM "filling" f JOIN "cask" c ON c."id" = f."caskId" ${WITH_POSITION}
              WHERE ${allOf(conditions)} ORDER BY ${orderBy(columns, direction)} LIMIT ${limit + 1}`,
        )
      : [];
    if (rows.length <= limit && ofFilling(query).length === 0)
      rows.push(...(await this.empties(query, key?.emptiesAfter, limit + 1 - rows.length)));
    return cut(rows, limit, (row) =>
      row.filling === null ? [row.code] : [row.sortedBy, row.code],
    );
  }

  private empties(query: CaskQuery, after: string | undefined, limit: number): Promise<FoundRow[]> {
    const conditions = [sql`c."fillingId" IS NULL`, ...ofCask(query)];
    if (after !== undefined) conditions.push(sql`c."code" > ${after}`);
    return this.reader.all<FoundRow>(
      sql`SELECT c."record" AS "cask", NULL AS "filling", p."code" AS "positionCode", c."code", NULL AS "sortedBy" FROM "cask" c ${WITH_POSITION}
          WHERE ${allOf(conditions)} ORDER BY c."code" LIMIT ${limit}`,
    );
  }
}

const FIELDS = sql`c."record" AS "cask", f."record" AS "filling", p."code" AS "positionCode", c."code"`;
const WITH_POSITION = sql`LEFT JOIN "position" p ON p."id" = c."positionId"`;

function ofCask(query: CaskQuery): Sql[] {
  const conditions: Sql[] = [];
  const equal = (column: Sql, value: SqlValue | undefined) => {
    if (value !== undefined) conditions.push(sql`${column} = ${value}`);
  };
  equal(sql`c."status"`, query.status);
  equal(sql`c."condition"`, query.condition);
  equal(sql`c."storeId"`, query.storeId);
  equal(sql`c."zoneId"`, query.zoneId);
  equal(sql`c."caskKind"`, query.caskKind);
  equal(sql`c."woodSpecies"`, query.woodSpecies);
  equal(sql`c."previousContents"`, query.previousContents);
  if (query.search)
    conditions.push(
      sql`(${startsWith(sql`c."code"`, normaliseCode(query.search))} OR c."id" IN (SELECT "ownerId" FROM "cask_alias" WHERE ${startsWith(sql`"value"`, query.search)}))`,
    );
  return conditions;
}

/** Wishes that only a filled cask can meet. */
function ofFilling(query: CaskQuery): Sql[] {
  const conditions: Sql[] = [];
  if (query.accountId !== undefined) conditions.push(sql`f."accountId" = ${query.accountId}`);
  if (query.fillNumber !== undefined) conditions.push(sql`f."fillNumber" = ${query.fillNumber}`);
  if (query.suspicion !== undefined) conditions.push(sql`f."suspicion" = ${query.suspicion}`);
  if (query.dutyStatus !== undefined) conditions.push(sql`f."dutyStatus" = ${query.dutyStatus}`);
  if (query.filledFrom !== undefined) conditions.push(sql`f."filledAt" >= ${query.filledFrom}`);
  if (query.filledTo !== undefined)
    conditions.push(sql`f."filledAt" <= ${lastDay(query.filledTo)}`);
  if (query.strengthFrom !== undefined)
    conditions.push(sql`f."strengthPercentVol" >= ${query.strengthFrom}`);
  if (query.strengthTo !== undefined)
    conditions.push(sql`f."strengthPercentVol" <= ${query.strengthTo}`);
  if (query.spiritLotId !== undefined)
    conditions.push(
      sql`f."id" IN (SELECT "ownerId" FROM "filling_lot" WHERE "value" = ${query.spiritLotId})`,
    );
  return conditions;
}

/** A key among the filled casks, or, with one part only, among the empty ones behind them. */
function readEither(
  after: string,
  type: 'string' | 'number',
): { after?: SqlValue[]; emptiesAfter?: string } {
  try {
    return { after: readKey(after, [type, 'string']) };
  } catch {
    return { emptiesAfter: readKey(after, ['string'])[0] as string };
  }
}

function cut(
  rows: readonly FoundRow[],
  limit: number,
  key: (row: FoundRow) => SqlValue[],
): Page<FoundRow> {
  const last = rows[limit - 1];
  return {
    rows: rows.slice(0, limit),
    next: rows.length > limit && last ? keyOf(key(last)) : null,
  };
}

function rowOf(row: FoundRow): CaskRow {
  const cask = JSON.parse(row.cask) as Cask;
  const filling = row.filling === null ? null : (JSON.parse(row.filling) as Filling);
  return {
    id: cask.id,
    code: cask.code,
    kind: cask.cooperage.kind,
    nominalLitres: cask.cooperage.nominalLitres,
    woodSpecies: cask.cooperage.woodSpecies,
    previousContents: cask.cooperage.previousContents,
    status: cask.status,
    condition: cask.condition,
    storeId: cask.storeId,
    zoneId: cask.zoneId,
    positionId: cask.positionId,
    positionCode: row.positionCode,
    fillingId: filling?.id ?? null,
    fillingCode: filling?.code ?? null,
    fillNumber: filling?.fillNumber ?? null,
    filledAt: filling?.filledAt ?? null,
    lastGaugedAt: filling?.lastGaugedAt ?? null,
    figures: filling?.figures ?? null,
    accountId: filling?.accountId ?? null,
    holdReason: filling?.holdReason ?? null,
    reservedByPlanId: filling?.reservedByPlanId ?? null,
    suspicion: filling?.suspicion ?? null,
    dutyStatus: filling?.dutyStatus ?? null,
  };
}
