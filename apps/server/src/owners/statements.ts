import { Injectable } from '@nestjs/common';
import type { Filling, Holding, OwnedCask, OwnerStatement, Posting } from '@rundlet/contracts';
import { litresPureAlcoholOfMg as lpa } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Clock } from '../platform/clock.ts';

interface SumOf {
  readonly mg: number;
  readonly takenOverAt: string | null;
}
type Sums = ReadonlyMap<Posting['cause'], SumOf>;

/** Under these causes a cask comes to an account. */
const TAKEN_OVER: readonly Posting['cause'][] = ['filled', 're-racked', 'ownership'];
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

  /** @throws NotFound */
  async one(accountId: string): Promise<OwnerStatement> {
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
    return {
      account,
      madeAt: this.clock.instant(),
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
