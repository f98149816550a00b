/** Many casks together: a store, a zone, an account, everything. Runs in a worker thread. */
import type { StockForecast } from '@rundlet/contracts';
import {
  addYears,
  forecastFilling,
  forecastSet,
  type FillingWithPosterior,
} from '@rundlet/maturation';
import sql, { empty, type Sql } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import type { Beliefs, Knowledge } from './beliefs.ts';
import { climateWords } from './climates.ts';
import { calibrationWords } from './filling-forecast.ts';
import { chanceBelow } from './quantile-chance.ts';

export interface StockWish {
  readonly today: string;
  readonly years: number;
  readonly floorPercentVol: number;
  readonly storeId: string | undefined;
  readonly zoneId: string | undefined;
  readonly accountId: string | undefined;
}

/** Above this many casks every quarter is forecast instead of every month. */
const MONTHLY_UP_TO = 200;

export const maturingWhere = ({
  storeId,
  zoneId,
  accountId,
}: Pick<StockWish, 'storeId' | 'zoneId' | 'accountId'>): Sql => {
  const store = storeId === undefined ? empty : sql` AND "f"."storeId" = ${storeId}`;
  const zone = zoneId === undefined ? empty : sql` AND "f"."zoneId" = ${zoneId}`;
  const account = accountId === undefined ? empty : sql` AND "f"."accountId" = ${accountId}`;
  return sql`"f"."status" = 'maturing'${store}${zone}${account}`;
};

export async function stockForecast(
  rows: Rows,
  beliefs: Beliefs,
  knowledge: Knowledge,
  wish: StockWish,
): Promise<StockForecast> {
  const members: FillingWithPosterior[] = [];
  for await (const chunk of beliefs.of(rows, maturingWhere(wish), knowledge))
    for (const { history, posterior } of chunk) members.push({ filling: history, posterior });
  const { population, climates, calibrationId } = knowledge;
  const climate = climates.byZone;
  const options = { population };
  // A posterior stands from the day after its evidence: the set begins when all of it does.
  const from = members.reduce(
    (day, { posterior }) => (posterior.asOf > day ? posterior.asOf : day),
    wish.today,
  );
  const months = members.length > MONTHLY_UP_TO ? 3 : 1;
  const dates = everyMonths(from, wish.years * 12, months);
  const points =
    members.length === 0
      ? []
      : forecastSet(members, climate, dates, options).map(({ date, bulk, strength, lpa }) => ({
          on: date,
          bulkLitresAt20C: bulk,
          strengthPercentVol: strength,
          litresPureAlcohol: lpa,
        }));
  const years = Array.from({ length: Math.floor(wish.years) + 1 }, (_, i) => addYears(from, i));
  const below = new Float64Array(years.length);
  for (const { filling, posterior } of members)
    for (const [i, { strength }] of forecastFilling(
      posterior,
      filling,
      climate,
      years,
      options,
    ).entries())
      below[i] = (below[i] ?? 0) + chanceBelow(strength, wish.floorPercentVol);
  const zones = new Set(members.map(({ posterior }) => posterior.zoneId));
  return {
    casks: members.length,
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

function everyMonths(from: string, months: number, step: number): string[] {
  const [year = 0, month = 1] = from.split('-').map(Number);
  const dates = [from];
  for (let m = step; m <= months; m += step) {
    const at = year * 12 + month - 1 + m;
    dates.push(
      `${String(Math.floor(at / 12)).padStart(4, '0')}-${String((at % 12) + 1).padStart(2, '0')}-01`,
    );
  }
  return dates;
}
