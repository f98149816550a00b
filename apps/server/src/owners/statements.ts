import { Injectable } from '@nestjs/common';
import type {
  Filling,
  Holding,
  LeftLine,
  OwnedCask,
  OwnerStatement,
  Posting,
} from '@rundlet/contracts';
import { litresPureAlcoholOfMg as lpa } from '@rundlet/domain';
import sql, { join } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { History } from '../journal/history.ts';
import { Clock } from '../platform/clock.ts';

interface SumOf {
  readonly mg: number;
  readonly takenOverAt: string | null;
}
type Sums = ReadonlyMap<Posting['cause'], SumOf>;

/** Under these causes a cask comes to an account. */
const TAKEN_OVER: readonly Posting['cause'][] = ['filled', 're-racked', 'ownership'];
/** Under these it leaves a cask or the account; what is disgorged stays the owner's, in a vat. */
const LEFT: readonly Posting['cause'][] = [
  'ownership',
  'disgorged',
  'bottled',
  'bottling-loss',
  'delivered',
  'destroyed',
];
export type Period = OwnerStatement['period'];
const DIFFERENCES: readonly Posting['cause'][] = [
  'gauge-difference',
  'filling-difference',
  'vat-difference',
];

/** What owners have lying here, by the book. */
@Injectable()
export class Statements {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
    private readonly clock: Clock,
    private readonly history: History,
  ) {}

  async holdings(): Promise<Holding[]> {
    const accounts = await this.records.where('account', sql`1 = 1`, sql`"code"`);
    const sums = await this.reader.all<{
      accountId: string;
      kind: 'cask' | 'vat';
      vessels: number;
      mg: number;
    }>(
      sql`SELECT "key" AS "accountId", 'cask' AS "kind", "casks" AS "vessels", "ethanolMg" AS "mg" FROM "stock_sum" WHERE "dimension" = 'account'
          UNION ALL SELECT "accountId", 'vat' AS "kind", COUNT(*) AS "vessels", SUM("ethanolMg") AS "mg" FROM "vat" GROUP BY "accountId"`,
    );
    return accounts.map((account) => {
      const of = (kind: 'cask' | 'vat') =>
        sums.find((sum) => sum.accountId === account.id && sum.kind === kind);
      return {
        account,
        casks: Number(of('cask')?.vessels ?? 0),
        casksLitresPureAlcohol: lpa(of('cask')?.mg ?? 0),
        vatsLitresPureAlcohol: lpa(of('vat')?.mg ?? 0),
      };
    });
  }

  /**
   * What left is told of the days from `from` to `to`; of the year up to today where they are not given.
   * @throws NotFound
   */
  async one(accountId: string, given: Partial<Period> = {}): Promise<OwnerStatement> {
    const account = await this.records.need('account', accountId);
    const mine = sql`"accountId" = ${accountId}`;
    const fillings = await this.records.where(
      'filling',
      sql`${mine} AND "status" = 'maturing'`,
      sql`"filledAt", "caskCode"`,
    );
    const moved = await this.reader.all<{
      fillingId: string;
      cause: Posting['cause'];
      mg: number;
      takenOverAt: string | null;
    }>(
      sql`SELECT "fillingId", "cause", SUM("ethanolMg") AS "mg", MAX(CASE WHEN "ethanolMg" > 0 THEN "at" END) AS "takenOverAt" FROM "posting"
          WHERE ${mine} AND "fillingId" IN (SELECT "id" FROM "filling" WHERE ${mine} AND "status" = 'maturing') GROUP BY "fillingId", "cause"`,
    );
    const sums = new Map<string, Map<Posting['cause'], SumOf>>();
    for (const { fillingId, cause, mg, takenOverAt } of moved) {
      const ofFilling = sums.get(fillingId) ?? new Map<Posting['cause'], SumOf>();
      sums.set(fillingId, ofFilling.set(cause, { mg: Number(mg), takenOverAt }));
    }
    const vats = await this.records.where('vat', mine, sql`"code"`);
    const madeAt = this.clock.instant();
    const to = given.to ?? madeAt.slice(0, 10);
    const period = { from: given.from ?? aYearBefore(to), to };
    return {
      account,
      madeAt,
      period,
      left: await this.left(accountId, period),
      casks: fillings.map((filling) =>
        ownedCask(filling, sums.get(filling.id) ?? new Map<Posting['cause'], SumOf>()),
      ),
      vats: vats.map(({ code, name, figures }) => ({
        code,
        name,
        litresPureAlcohol: figures.litresPureAlcohol,
      })),
    };
  }

  /** By entry and cause, oldest first; what was taken back, and what takes back, moved nothing away. */
  private async left(accountId: string, { from, to }: Period): Promise<LeftLine[]> {
    const rows = await this.reader.all<{
      entryId: string;
      at: string;
      cause: Posting['cause'];
      mg: number;
    }>(
      sql`SELECT p."entryId", p."at", p."cause", SUM(p."ethanolMg") AS "mg" FROM "posting" p
          JOIN "journal_entry" e ON e."id" = p."entryId"
          WHERE p."accountId" = ${accountId} AND p."at" >= ${from} AND p."at" < ${`${to}T99`}
            AND p."cause" IN (${join([...LEFT])}) AND p."ethanolMg" < 0 AND e."reversesEntryId" IS NULL
            AND NOT EXISTS (SELECT 1 FROM "journal_entry" r WHERE r."reversesEntryId" = p."entryId")
          GROUP BY p."entryId", p."at", p."cause" ORDER BY p."at", p."entryId", p."cause"`,
    );
    const words = await this.history.wordsOf(rows.map(({ entryId }) => entryId));
    return rows.map(({ entryId, at, cause, mg }) => ({
      entryId,
      at,
      cause,
      words: words.get(entryId) ?? '',
      litresPureAlcohol: lpa(-Number(mg)),
    }));
  }
}

function aYearBefore(date: string): string {
  const day = new Date(`${date}T00:00:00.000Z`);
  day.setUTCFullYear(day.getUTCFullYear() - 1);
  day.setUTCDate(day.getUTCDate() + 1);
  return day.toISOString().slice(0, 10);
}

function ownedCask(filling: Filling, sums: Sums): OwnedCask {
  const of = (causes: readonly Posting['cause'][]): number =>
    causes.reduce((mg, cause) => mg + (sums.get(cause)?.mg ?? 0), 0);
  const all = of([...sums.keys()]);
  const takenOver = of(TAKEN_OVER);
  const samples = of(['sample']);
  const differences = of(DIFFERENCES);
  return {
    fillingId: filling.id,
    caskId: filling.caskId,
    caskCode: filling.caskCode,
    caskKind: filling.caskKind,
    storeId: filling.storeId,
    filledAt: filling.filledAt,
    heldSince: sums.get('ownership')?.takenOverAt ?? filling.filledAt,
    atFillingLitresPureAlcohol: filling.fillFigures.litresPureAlcohol,
    takenOverLitresPureAlcohol: lpa(takenOver),
    movedLitresPureAlcohol: lpa(all - takenOver - samples - differences),
    samplesLitresPureAlcohol: lpa(-samples),
    lostLitresPureAlcohol: lpa(-differences),
    nowLitresPureAlcohol: lpa(all),
    bulkLitresAt20C: filling.figures.bulkLitresAt20C,
    strengthPercentVol: filling.figures.strengthPercentVol,
    lastGaugedAt: filling.lastGaugedAt,
  };
}
