import { Injectable } from '@nestjs/common';
import type { Overview } from '@rundlet/contracts';
import sql, { join, raw, type Sql } from 'sql-template-tag';
import { isMaturing } from '../database/ranges.ts';
import { Reader } from '../database/reader.ts';
import { PER_LITRE } from '../database/sums.ts';
import { Clock } from '../platform/clock.ts';

const MOST_YEARS = 60;
const MOST_LISTED = 20;
/** A taste of the regauge round, which lists them all. */
const LONGEST_LISTED = 8;

interface Sum {
  casks: number;
  bulk: number;
  lpa: number;
}

/** The stock at a glance, from the sums that are kept. */
@Injectable()
export class OverviewOf {
  #answer: { key: string; overview: Promise<Overview> } | null = null;

  constructor(
    private readonly reader: Reader,
    private readonly clock: Clock,
  ) {}

  /** The same question again within a minute, and nothing entered since, gets the same answer. */
  async now(): Promise<Overview> {
    const last = await this.lastEntry();
    const key = `${String(last)}|${this.clock.instant().slice(0, 16)}`;
    if (this.#answer?.key !== key) {
      const overview = this.sum(last);
      overview.catch(() => (this.#answer = null));
      this.#answer = { key, overview };
    }
    return this.#answer.overview;
  }

  private async sum(journalEntries: number): Promise<Overview> {
    const [byStore, byAgeYears, suspicions, longestUngauged, counts] = await Promise.all([
      this.byStore(),
      this.byAge(),
      this.suspicions(),
      this.longestUngauged(),
      this.counts(),
    ]);
    const { filled, ...more } = counts;
    return {
      casksFilled: filled.casks,
      stock: { bulkLitresAt20C: filled.bulk, litresPureAlcohol: filled.lpa },
      byStore,
      byAgeYears,
      suspicions,
      longestUngauged,
      journalEntries,
      ...more,
    };
  }

  /** Number of the last entry; the chain has no gaps, so it is the count. */
  private async lastEntry(): Promise<number> {
    const last = await this.reader.one<{ seq: number | null }>(
      sql`SELECT MAX("seq") AS "seq" FROM "journal_entry"`,
    );
    return last?.seq ?? 0;
  }

  private async counts() {
    const filled = await this.reader.one<Sum>(
      sql`SELECT ${SUMS} FROM "stock_sum" WHERE "dimension" = 'store'`,
    );
    const count = async (from: Sql) =>
      (await this.reader.one<{ n: number }>(sql`SELECT COUNT(*) AS "n" FROM ${from}`))?.n ?? 0;
    return {
      filled: filled ?? { casks: 0, bulk: 0, lpa: 0 },
      casksEmpty: await count(sql`"cask" WHERE "status" = 'empty'`),
      openStocktakes: await count(sql`"stocktake" WHERE "status" IN ('open', 'reconciled')`),
      heldActs: await count(sql`"held_act" WHERE "status" = 'open'`),
    };
  }

  private async byStore(): Promise<Overview['byStore']> {
    const rows = await this.reader.all<Sum & { storeId: string; record: string }>(
      sql`SELECT s."id" AS "storeId", s."record", held."casks", held."bulk", held."lpa"
          FROM (SELECT "key", ${SUMS} FROM "stock_sum" WHERE "dimension" = 'store' AND "casks" > 0 GROUP BY "key") held
          JOIN "store" s ON s."id" = held."key" ORDER BY s."code"`,
    );
    return rows.map((row) => ({
      storeId: row.storeId,
      name: (JSON.parse(row.record) as { name: string }).name,
      casks: row.casks,
      bulkLitresAt20C: row.bulk,
      litresPureAlcohol: row.lpa,
    }));
  }

  /** In whole years in oak, by the calendar's days; what is older than the last step stands in it. */
  private async byAge(): Promise<Overview['byAgeYears']> {
    const now = this.clock.now();
    const steps = Array.from({ length: MOST_YEARS }, (_, years) => {
      const birthday = new Date(now);
      birthday.setUTCFullYear(now.getUTCFullYear() - years - 1);
      return sql`WHEN "key" > ${birthday.toISOString().slice(0, 10)} THEN ${raw(String(years))}`;
    });
    const rows = await this.reader.all<Sum & { years: number }>(
      sql`SELECT CASE ${join(steps, ' ')} ELSE ${raw(String(MOST_YEARS))} END AS "years", ${SUMS}
          FROM "stock_sum" WHERE "dimension" = 'oak-date' AND "casks" > 0 GROUP BY 1 ORDER BY 1`,
    );
    return rows.map((row) => ({
      fromYears: row.years,
      casks: row.casks,
      litresPureAlcohol: row.lpa,
    }));
  }

  private suspicions(): Promise<Overview['suspicions']> {
    return this.reader.all(
      sql`SELECT "caskId", "caskCode", "suspicion", "lastGaugedAt" FROM "filling"
          WHERE "suspicion" IN ('possible-leak', 'possible-blunder') AND ${isMaturing(sql`"status"`)} ORDER BY "lastGaugedAt" DESC LIMIT ${MOST_LISTED}`,
    );
  }

  private longestUngauged(): Promise<Overview['longestUngauged']> {
    return this.reader.all(
      sql`SELECT "caskId", "caskCode", "lastGaugedAt" FROM "filling"
          WHERE "status" = 'maturing' ORDER BY "lastGaugedAt", "caskCode" LIMIT ${LONGEST_LISTED}`,
    );
  }
}

const litres = (column: string): Sql =>
  sql`COALESCE(SUM(${raw(`"${column}"`)}), 0) / ${raw(PER_LITRE.toFixed(1))}`;
const SUMS = sql`COALESCE(SUM("casks"), 0) AS "casks", ${litres('bulkMicrolitres')} AS "bulk", ${litres('pureMicrolitres')} AS "lpa"`;
