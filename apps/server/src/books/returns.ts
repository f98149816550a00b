import { Injectable } from '@nestjs/common';
import {
  POSTING_CAUSES,
  type api,
  type InputOf,
  type Posting,
  type ReturnLine,
} from '@rundlet/contracts';
import {
  againstAllowances,
  gaugedMgYears,
  lineKey,
  litresPureAlcoholOfMg as lpa,
  monthsBetween,
  type MonthFigures,
} from '@rundlet/domain';
import sql, { join, raw, type Sql } from 'sql-template-tag';
import { allOf } from '../database/page.ts';
import { Reader } from '../database/reader.ts';
import { NOWHERE } from '../database/sums.ts';
import { Records } from '../database/records.ts';
import { AccountTermsOf, inForce } from './account-terms.ts';

/** Whose alcohol and where; what is left out means all. */
export type Scope = Omit<InputOf<typeof api.books.months>['query'], 'from' | 'to'>;

export type PostingQuery = Omit<InputOf<typeof api.books.postings>['query'], 'month' | 'cause'> & {
  cause?: Posting['cause'] | readonly Posting['cause'][] | undefined;
  from: string;
  to: string;
};

type Line = { accountId: string; storeId: string | null };
interface Movement extends Line {
  month: string;
  cause: Posting['cause'];
  ethanolMg: number;
  caskMg: number;
  ofEarlierMonthsMg: number;
  entries: number;
}

/** A store, or none: a part of a sum's key can't be null. */
const STORE = sql`NULLIF("storeId", ${NOWHERE}) AS "storeId"`;

/** The account is the ledger's lines of what is under duty suspension. */
const OF_ACCOUNT = sql`"dutyStatus" = 'suspended'`;

/** The alcohol account by month: from the sums that are kept, in whole milligrams, told in litres of pure alcohol. */
@Injectable()
export class Returns {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
    private readonly terms: AccountTermsOf,
  ) {}

  async months(from: string, to: string, scope: Scope): Promise<ReturnLine[]> {
    const within = await this.within(scope, 'posting_sum');
    const openings = await this.openings(from, scope);
    const movements = await this.reader.all<Movement>(
      sql`SELECT "month", "accountId", ${STORE}, "cause", "ethanolMg", "caskMg", "ofEarlierMonthsMg", "entries" FROM "posting_sum"
          WHERE ${allOf([...within, sql`"month" >= ${from}`, sql`"month" <= ${to}`])}`,
    );
    const versions = await this.terms.versions();
    const gauged = versions.some(({ terms }) =>
      terms.allowances.some((rule) => rule.of === 'gauged-casks-a-year'),
    )
      ? await this.gauged(from, to, scope)
      : new Map<string, number>();
    const balances = new Map(openings.map((o) => [lineKey(o), o.mg]));
    const byLine = new Map<string, Line>();
    for (const line of [...openings, ...movements])
      byLine.set(lineKey(line), { accountId: line.accountId, storeId: line.storeId });
    const lines = [...byLine].sort(([a], [b]) => (a < b ? -1 : 1));
    const byMonthAndLine = new Map<string, Movement[]>();
    for (const m of movements) {
      const key = `${m.month}|${lineKey(m)}`;
      byMonthAndLine.set(key, [...(byMonthAndLine.get(key) ?? []), m]);
    }
    const rows: ReturnLine[] = [];
    for (const month of monthsBetween(from, to)) {
      const rules = inForce(versions, `${month}-01`)?.terms.allowances ?? [];
      for (const [key, line] of lines) {
        const moved = byMonthAndLine.get(`${month}|${key}`) ?? [];
        const opening = balances.get(key) ?? 0;
        if (opening === 0 && moved.length === 0) continue;
        const closing = moved.reduce((sum, m) => sum + m.ethanolMg, opening);
        balances.set(key, closing);
        rows.push({
          month,
          ...line,
          openingLitresPureAlcohol: lpa(opening),
          movements: moved
            .sort((a, b) => POSTING_CAUSES.indexOf(a.cause) - POSTING_CAUSES.indexOf(b.cause))
            .map(({ cause, ethanolMg, ofEarlierMonthsMg, entries }) => ({
              cause,
              litresPureAlcohol: lpa(ethanolMg),
              ofEarlierMonthsLitresPureAlcohol: lpa(ofEarlierMonthsMg),
              entries,
            })),
          losses: againstAllowances(
            figuresOf(opening, gauged.get(`${month}|${key}`) ?? 0, moved),
            rules,
          ).map((a) => ({
            rule: a.rule,
            lossLitresPureAlcohol: lpa(a.lossMg),
            baseLitresPureAlcohol: lpa(a.baseMg),
            allowedLitresPureAlcohol: lpa(a.allowedMg),
            aboveLitresPureAlcohol: lpa(a.aboveMg),
          })),
          closingLitresPureAlcohol: lpa(closing),
        });
      }
    }
    return rows;
  }

  /** What each line held before a month: what it holds now less all that moved since, of which there is less than of what was before. */
  private async openings(from: string, scope: Scope): Promise<(Line & { mg: number })[]> {
    const [now, since] = await Promise.all([
      this.reader.all<Line & { mg: number }>(
        sql`SELECT "accountId", ${STORE}, "ethanolMg" AS "mg" FROM "posting_balance" WHERE ${allOf(await this.within(scope, 'posting_balance'))}`,
      ),
      this.reader.all<Line & { mg: number }>(
        sql`SELECT "accountId", ${STORE}, SUM("ethanolMg") AS "mg" FROM "posting_sum"
            WHERE ${allOf([...(await this.within(scope, 'posting_sum')), sql`"month" >= ${from}`])} GROUP BY "accountId", "storeId"`,
      ),
    ]);
    const moved = new Map(since.map((line) => [lineKey(line), line.mg]));
    return now.map((line) => ({ ...line, mg: line.mg - (moved.get(lineKey(line)) ?? 0) }));
  }

  /** By month and line: what casks that were gauged held by the book before, mg, times the years since their gauge before. */
  private async gauged(from: string, to: string, scope: Scope): Promise<Map<string, number>> {
    const wanted = allOf([
      ...(await this.within(scope)),
      OF_ACCOUNT,
      sql`"cause" = 'gauge-difference'`,
      sql`"month" >= ${from}`,
      sql`"month" <= ${to}`,
    ]);
    const lines = await this.reader.all<
      Line &
        Pick<Posting, 'at' | 'month' | 'cause' | 'ethanolMg'> & {
          fillingId: string;
          filledAt: string;
        }
    >(
      sql`SELECT p."fillingId", f."filledAt", p."at", p."month", p."cause", p."ethanolMg", p."accountId", p."storeId"
          FROM "posting" p JOIN "filling" f ON f."id" = p."fillingId"
          WHERE p."dutyStatus" = 'suspended' AND p."fillingId" IN (SELECT "fillingId" FROM "posting" WHERE ${wanted}) ORDER BY p."fillingId", p."at", p."id"`,
    );
    const byFilling = new Map<string, typeof lines>();
    for (const line of lines)
      byFilling.set(line.fillingId, [...(byFilling.get(line.fillingId) ?? []), line]);
    const sums = new Map<string, number>();
    for (const ofFilling of byFilling.values()) {
      const mgYears = gaugedMgYears(ofFilling[0]?.filledAt ?? '', ofFilling);
      for (const [i, line] of ofFilling.entries()) {
        const key = `${line.month}|${lineKey(line)}`;
        sums.set(key, (sums.get(key) ?? 0) + (mgYears[i] ?? 0));
      }
    }
    return sums;
  }

  /** What the account says is held now. */
  async holdsNow(scope: Scope): Promise<number> {
    const row = await this.reader.one<{ mg: number }>(
      sql`SELECT COALESCE(SUM("ethanolMg"), 0) AS "mg" FROM "posting_balance" WHERE ${allOf(await this.within(scope, 'posting_balance'))}`,
    );
    return lpa(row?.mg ?? 0);
  }

  /** The lines behind one figure, with the code of the vessel each is about. */
  async postings({ from, to, cause, ofEarlierMonths, ...scope }: PostingQuery): Promise<
    (Pick<
      Posting,
      'entryId' | 'at' | 'month' | 'accountId' | 'cause' | 'vesselKind' | 'ethanolMg'
    > & {
      code: string | null;
    })[]
  > {
    const conditions = [
      ...(await this.within(scope, 'p')),
      OF_ACCOUNT,
      sql`p."month" >= ${from}`,
      sql`p."month" <= ${to}`,
      ...(cause === undefined ? [] : [sql`p."cause" IN (${join([cause].flat())})`]),
      ...(ofEarlierMonths === true ? [sql`SUBSTR(p."at", 1, 7) < p."month"`] : []),
    ];
    return this.reader.all(
      sql`SELECT p."entryId", p."at", p."month", p."accountId", p."cause", p."vesselKind", p."ethanolMg", COALESCE(c."code", v."code") AS "code"
          FROM "posting" p LEFT JOIN "cask" c ON c."id" = p."vesselId" LEFT JOIN "vat" v ON v."id" = p."vesselId"
          WHERE ${allOf(conditions)} ORDER BY p."at", p."id"`,
    );
  }

  private async within(
    { accountId, storeId, accountKind }: Scope,
    table = 'posting',
  ): Promise<Sql[]> {
    const column = (name: string) => raw(`"${table}"."${name}"`);
    const conditions: Sql[] = [];
    if (accountId !== undefined) conditions.push(sql`${column('accountId')} = ${accountId}`);
    if (storeId !== undefined) conditions.push(sql`${column('storeId')} = ${storeId}`);
    if (accountKind !== undefined) {
      const accounts = await this.records.where('account', sql`1 = 1`);
      const ids = accounts.flatMap((a) => (a.kind === accountKind ? a.id : []));
      conditions.push(sql`${column('accountId')} IN (${join(ids.length > 0 ? ids : [''])})`);
    }
    return conditions;
  }
}

/** What was handled under a cause is what it moved in casks or in vats; where it went from one to the other, the same twice. */
const figuresOf = (
  openingMg: number,
  gaugedMgYears: number,
  moved: readonly Movement[],
): MonthFigures => ({
  openingMg,
  gaugedMgYears,
  movements: moved.map(({ cause, ethanolMg, caskMg }) => ({
    cause,
    ethanolMg,
    handledMg: Math.max(Math.abs(caskMg), Math.abs(ethanolMg - caskMg)),
  })),
});
