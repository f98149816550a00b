/** Many casks together: a store, a zone, an account, everything. Runs in a worker thread. */
import type { StockForecast, StockScope } from '@rundlet/contracts';
import {
  addToStock,
  addYears,
  BLOCK_WIDTH,
  emptyStock,
  finishStock,
  LEVEL_COUNT,
  type FillingWithPosterior,
  type SetForecastPoint,
} from '@rundlet/maturation';
import sql, { join, raw, type Sql } from 'sql-template-tag';
import { lastDay } from '../database/ranges.ts';
import type { Rows } from '../database/rows.ts';
import type { Beliefs, Knowledge } from './beliefs.ts';
import { climateWords } from './climates.ts';
import { calibrationWords } from './filling-forecast.ts';
import { chanceBelow } from './quantile-chance.ts';

export interface StockWish {
  readonly today: string;
  readonly years: number;
  readonly floorPercentVol: number;
  readonly scope: StockScope;
}

/** Maturing fillings within a scope, on "f", the filling table. */
export function maturingWhere(scope: StockScope): Sql {
  const { filledFrom, filledTo, spiritLotId } = scope;
  const conditions = [sql`"f"."status" = 'maturing'`];
  const same = (column: string, value: string | number | undefined): void => {
    if (value !== undefined) conditions.push(sql`${raw(`"f"."${column}"`)} = ${value}`);
  };
  same('storeId', scope.storeId);
  same('zoneId', scope.zoneId);
  same('accountId', scope.accountId);
  same('woodSpecies', scope.woodSpecies);
  same('caskKind', scope.caskKind);
  same('previousContents', scope.previousContents);
  same('fillNumber', scope.fillNumber);
  if (filledFrom !== undefined) conditions.push(sql`"f"."filledAt" >= ${filledFrom}`);
  if (filledTo !== undefined) conditions.push(sql`"f"."filledAt" <= ${lastDay(filledTo)}`);
  if (spiritLotId !== undefined)
    conditions.push(
      sql`"f"."id" IN (SELECT "ownerId" FROM "filling_lot" WHERE "value" = ${spiritLotId})`,
    );
  return join(conditions, ' AND ');
}

/** How far long work is. */
export type Tell = (share: number, casks: number) => void;

async function countFillings(rows: Rows, where: Sql): Promise<number> {
  const { count } = (await rows.one<{ count: number }>(
    sql`SELECT COUNT(*) AS "count" FROM "filling" "f" WHERE ${where}`,
  )) ?? { count: 0 };
  return Number(count);
}

/** Members of a scope with what is believed of each, told of as they come. */
export async function membersOf(
  rows: Rows,
  beliefs: Beliefs,
  knowledge: Knowledge,
  where: Sql,
  tell: Tell,
): Promise<FillingWithPosterior[]> {
  const casks = await countFillings(rows, where);
  const members: FillingWithPosterior[] = [];
  const one = (): void => {
    tell(casks > 0 ? Math.min(1, members.length / casks) : 1, casks);
  };
  for await (const chunk of beliefs.of(rows, where, knowledge))
    for (const { history, posterior } of chunk) {
      members.push({ filling: history, posterior });
      one();
    }
  return members;
}

/** The day after all evidence: a posterior stands from its own day on. */
export const beginningOf = (members: readonly FillingWithPosterior[], today: string): string =>
  members.reduce((day, { posterior }) => (posterior.asOf > day ? posterior.asOf : day), today);

const AT_ONCE = 100;

export const setPointOf = ({ date, bulk, strength, lpa }: SetForecastPoint) => ({
  on: date,
  bulkLitresAt20C: bulk,
  strengthPercentVol: strength,
  litresPureAlcohol: lpa,
});

/** The sum of a stock by month. Casks are let go of as soon as they are added: a stock may be any size. */
export async function stockForecast(
  rows: Rows,
  beliefs: Beliefs,
  knowledge: Knowledge,
  wish: StockWish,
  tell: Tell,
): Promise<StockForecast> {
  const where = maturingWhere(wish.scope);
  const casks = await countFillings(rows, where);
  const { population, climates, calibrationId } = knowledge;
  const options = { population };
  const from = wish.today;
  const months = everyMonth(from, wish.years * 12);
  const years = Array.from({ length: Math.floor(wish.years) + 1 }, (_, i) => addYears(from, i));
  const dates = [...new Set([...months, ...years])].sort();
  const yearAt = years.map((on) => dates.indexOf(on));
  const stock = emptyStock(dates, options);
  const below = new Float64Array(years.length);
  const zones = new Set<string>();
  let done = 0;
  for await (const chunk of beliefs.of(rows, where, knowledge)) {
    for (let at = 0; at < chunk.length; at += AT_ONCE) {
      const some = chunk.slice(at, at + AT_ONCE).map(({ posterior }) => posterior);
      for (const { zoneId } of some) zones.add(zoneId);
      addToStock(stock, some, climates.byZone, options, (_, block) => {
        for (const [i, yearsOn] of yearAt.entries())
          below[i] =
            (below[i] ?? 0) + chanceBelow(strengthIn(block, yearsOn), wish.floorPercentVol);
      });
      done += some.length;
      tell(casks > 0 ? Math.min(1, done / casks) : 1, casks);
    }
  }
  const shown = new Set(months);
  const points =
    done === 0
      ? []
      : finishStock(stock, options)
          .filter(({ date }) => shown.has(date))
          .map(setPointOf);
  return {
    casks: done,
    calibrationId,
    points,
    belowFloor: years.map((on, i) => ({ on, expectedCasks: below[i] ?? 0 })),
    assumptions: [
      ...calibrationWords(knowledge),
      ...[...zones].slice(0, 8).map((zone) => climateWords(climates, zone)),
      'Casks that share a store, a season or a rate of loss are forecast together: the interval of the sum is not the sum of the intervals.',
      'Nothing is filled, drawn, topped up or moved from today on.',
    ],
  };
}

/** Quantiles of the strength at one of the dates, out of a filling's block. */
function strengthIn(block: Float32Array, at: number) {
  const from = at * BLOCK_WIDTH + LEVEL_COUNT;
  const [q05 = 0, , q50 = 0, , q95 = 0] = block.subarray(from, from + LEVEL_COUNT);
  return { q05, q50, q95 };
}

/** A date and the first of every month after it. */
export function everyMonth(from: string, months: number): string[] {
  const [year = 0, month = 1] = from.split('-').map(Number);
  const dates = [from];
  for (let m = 1; m <= months; m += 1) {
    const at = year * 12 + month - 1 + m;
    dates.push(
      `${String(Math.floor(at / 12)).padStart(4, '0')}-${String((at % 12) + 1).padStart(2, '0')}-01`,
    );
  }
  return dates;
}
