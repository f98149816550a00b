import { Injectable } from '@nestjs/common';
import type { Posting, ReturnLine } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import sql, { raw, type Sql } from 'sql-template-tag';
import { allOf } from '../database/page.ts';
import { Reader } from '../database/reader.ts';

interface Scope {
  readonly accountId?: string | undefined;
  readonly storeId?: string | undefined;
}
interface Movement {
  month: string;
  accountId: string;
  storeId: string | null;
  cause: Posting['cause'];
  mg: number;
  entries: number;
}
type Line = { accountId: string; storeId: string | null };

/** The alcohol account by month: summed in whole milligrams in the database, told in litres of pure alcohol. */
@Injectable()
export class Returns {
  constructor(private readonly reader: Reader) {}

  async months(from: string, to: string, scope: Scope): Promise<ReturnLine[]> {
    const within = inScope(scope);
    const openings = await this.reader.all<Line & { mg: number }>(
      sql`SELECT "accountId", "storeId", SUM("ethanolMg") AS "mg" FROM "posting" WHERE ${allOf([...within, sql`"month" < ${from}`])} GROUP BY "accountId", "storeId"`,
    );
    const movements = await this.reader.all<Movement>(
      sql`SELECT "month", "accountId", "storeId", "cause", SUM("ethanolMg") AS "mg", COUNT(DISTINCT "entryId") AS "entries" FROM "posting"
          WHERE ${allOf([...within, sql`"month" >= ${from}`, sql`"month" <= ${to}`])} GROUP BY "month", "accountId", "storeId", "cause"`,
    );
    const balances = new Map(openings.map((o) => [keyOf(o), o.mg]));
    const lines = new Map<string, Line>();
    for (const line of [...openings, ...movements])
      lines.set(keyOf(line), { accountId: line.accountId, storeId: line.storeId });
    const byMonthAndLine = new Map<string, Movement[]>();
    for (const m of movements) {
      const key = `${m.month}|${keyOf(m)}`;
      byMonthAndLine.set(key, [...(byMonthAndLine.get(key) ?? []), m]);
    }
    const rows: ReturnLine[] = [];
    for (const month of monthsBetween(from, to))
      for (const [key, line] of [...lines].sort(([a], [b]) => (a < b ? -1 : 1))) {
        const moved = byMonthAndLine.get(`${month}|${key}`) ?? [];
        const opening = balances.get(key) ?? 0;
        if (opening === 0 && moved.length === 0) continue;
        const closing = moved.reduce((sum, m) => sum + m.mg, opening);
        balances.set(key, closing);
        rows.push({
          month,
          ...line,
          openingLitresPureAlcohol: litresPureAlcoholOfMg(opening),
          movements: moved
            .sort((a, b) => (a.cause < b.cause ? -1 : 1))
            .map(({ cause, mg, entries }) => ({
              cause,
              litresPureAlcohol: litresPureAlcoholOfMg(mg),
              entries,
            })),
          closingLitresPureAlcohol: litresPureAlcoholOfMg(closing),
        });
      }
    return rows;
  }

  /** What the account says is held now. */
  async holdsNow(scope: Scope): Promise<number> {
    const row = await this.reader.one<{ mg: number }>(
      sql`SELECT COALESCE(SUM("ethanolMg"), 0) AS "mg" FROM "posting" WHERE ${allOf(inScope(scope))}`,
    );
    return litresPureAlcoholOfMg(row?.mg ?? 0);
  }

  /** The lines behind one figure, with the code of the vessel each is about. */
  postings(
    of: Scope & { month: string; cause: Posting['cause'] },
  ): Promise<
    { entryId: string; at: string; vesselKind: string; code: string | null; ethanolMg: number }[]
  > {
    return this.reader.all(
      sql`SELECT p."entryId", p."at", p."vesselKind", COALESCE(c."code", v."code") AS "code", p."ethanolMg"
          FROM "posting" p LEFT JOIN "cask" c ON c."id" = p."vesselId" LEFT JOIN "vat" v ON v."id" = p."vesselId"
          WHERE ${allOf([...inScope(of, 'p'), sql`p."month" = ${of.month}`, sql`p."cause" = ${of.cause}`])} ORDER BY p."at", p."id"`,
    );
  }
}

const keyOf = ({ accountId, storeId }: Line): string => `${accountId}|${storeId ?? ''}`;

function inScope({ accountId, storeId }: Scope, table = 'posting'): Sql[] {
  const column = (name: string) => raw(`"${table}"."${name}"`);
  return [
    ...(accountId === undefined ? [] : [sql`${column('accountId')} = ${accountId}`]),
    ...(storeId === undefined ? [] : [sql`${column('storeId')} = ${storeId}`]),
  ];
}

/** Calendar months from one to the other, both included. */
export function monthsBetween(from: string, to: string): string[] {
  const index = (month: string) => Number(month.slice(0, 4)) * 12 + Number(month.slice(5)) - 1;
  return Array.from({ length: Math.max(0, index(to) - index(from) + 1) }, (_, i) => {
    const at = index(from) + i;
    return `${String(Math.floor(at / 12)).padStart(4, '0')}-${String((at % 12) + 1).padStart(2, '0')}`;
  });
}
