/** Forecasts casks and stock, judges gauges as they come in, learns from all of them. */
import type {
  FillingForecast,
  OwnerForecast,
  StockForecast,
  WhatIfAnswer,
  WoodContact,
} from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { serveTasks, type TaskContext } from '../jobs/serve-tasks.ts';
import { workerRows } from '../jobs/worker-database.ts';
import { assessGauge, type Assessed, type GaugeToAssess } from '../maturation/assess-gauge.ts';
import { Beliefs, type Belief, type Knowledge } from '../maturation/beliefs.ts';
import { whatIfFutures, woodContact, type WhatIfWish } from '../maturation/cask-futures.ts';
import { fillingForecast, type ForecastWish } from '../maturation/filling-forecast.ts';
import { holdings, type HoldingsWish } from '../maturation/holdings.ts';
import { resultsOf } from '../maturation/histories.ts';
import { learn } from '../maturation/learn.ts';
import { regaugeRound, type RoundWish } from '../maturation/regauge-round.ts';
import { stockFutures, type StockFuturesWish } from '../maturation/stock-futures.ts';
import { stockForecast, type StockWish, type Tell } from '../maturation/stock-forecast.ts';

/** Kept for as long as the thread lives: climates and posteriors are worked out once. */
const beliefs = new Beliefs();

async function one(
  fillingId: string,
  { settings }: TaskContext,
): Promise<{ belief: Belief; knowledge: Knowledge } | null> {
  const rows = await workerRows(settings);
  const knowledge = await beliefs.knowledge(rows);
  for await (const [belief] of beliefs.of(rows, sql`"f"."id" = ${fillingId}`, knowledge))
    if (belief) return { belief, knowledge };
  return null;
}

const tellOf =
  ({ progress }: TaskContext): Tell =>
  (share, casks) => {
    progress({ share, detail: { casks } });
  };

const tasks = {
  filling: async (
    { fillingId, wish }: { fillingId: string; wish: ForecastWish },
    context: TaskContext,
  ): Promise<FillingForecast | null> => {
    const known = await one(fillingId, context);
    return known && fillingForecast(known.belief, known.knowledge, wish);
  },

  whatIf: async (
    { fillingId, wish }: { fillingId: string; wish: WhatIfWish },
    context: TaskContext,
  ): Promise<WhatIfAnswer | null> => {
    const known = await one(fillingId, context);
    return known && whatIfFutures(known.belief, known.knowledge, wish);
  },

  woodContact: async (
    { fillingId, wish }: { fillingId: string; wish: { today: string; years: number } },
    context: TaskContext,
  ): Promise<WoodContact | null> => {
    const known = await one(fillingId, context);
    if (!known) return null;
    const results = await resultsOf(await workerRows(context.settings), fillingId);
    return woodContact(known.belief, known.knowledge, wish, results);
  },

  assess: async (gauge: GaugeToAssess, context: TaskContext): Promise<Assessed | null> => {
    const known = await one(gauge.fillingId, context);
    return known && assessGauge(known.belief, known.knowledge, gauge);
  },

  /** Looks up what forecasts rest on, so that the next question is answered at once. */
  warm: async (_: object, { settings }: TaskContext): Promise<null> => {
    await beliefs.knowledge(await workerRows(settings));
    return null;
  },

  stock: async (wish: StockWish, context: TaskContext): Promise<StockForecast> => {
    const rows = await workerRows(context.settings);
    return stockForecast(rows, beliefs, await beliefs.knowledge(rows), wish, tellOf(context));
  },

  stockWhatIf: async (wish: StockFuturesWish, context: TaskContext) => {
    const rows = await workerRows(context.settings);
    return stockFutures(rows, beliefs, await beliefs.knowledge(rows), wish, tellOf(context));
  },

  holdings: async (wish: HoldingsWish, context: TaskContext): Promise<OwnerForecast> => {
    const rows = await workerRows(context.settings);
    return holdings(rows, beliefs, await beliefs.knowledge(rows), wish, tellOf(context));
  },

  round: async (wish: RoundWish, { settings }: TaskContext) => {
    const rows = await workerRows(settings);
    return regaugeRound(rows, beliefs, await beliefs.knowledge(rows), wish);
  },

  learn,
};

export type MaturationTasks = typeof tasks;
serveTasks(tasks);
