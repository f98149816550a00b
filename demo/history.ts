import type { Act } from '@rundlet/contracts';
import { dateOf } from './calendar.ts';
import { loggerFiles, type LoggerFile } from './logger-file.ts';
import { planAisleWork } from './work/aisle.ts';
import { planBooks } from './work/books.ts';
import { foundEstate } from './work/founding.ts';
import { lastRoundDay, planRounds } from './work/regauging.ts';
import { planSeasons } from './work/season.ts';
import { planStocktake } from './work/stocktaking.ts';
import { planVattings } from './work/vatting.ts';
import { World, type HistoryOptions } from './world.ts';

export type { HistoryOptions } from './world.ts';
export type { LoggerFile } from './logger-file.ts';

export interface History {
  /** every act of the estate's life in the order of time, some days' worth at once */
  readonly acts: Generator<Act[]>;
  /** the loggers' files */
  readonly loggerFiles: () => Generator<LoggerFile>;
  /** date of the last round of gauging, which a forecast should stand before */
  readonly lastRoundOn: string;
  /** the truth behind the readings; for tests, never for the program */
  readonly world: World;
}

/** Twelve years of Harrow Point. Same seed, day and size: same acts with the same ids. */
export function estateHistory(options: HistoryOptions): History {
  if (!(options.casks >= 60 && options.casks <= 2_000_000))
    throw new RangeError(
      `an estate of ${String(options.casks)} casks cannot be told; 60 to 2000000 can`,
    );
  const world = new World(options);
  return {
    acts: tell(world),
    loggerFiles: () => loggerFiles(world),
    lastRoundOn: dateOf(lastRoundDay(world)),
    world,
  };
}

function* tell(world: World): Generator<Act[]> {
  const plots = foundEstate(world);
  planSeasons(world, plots);
  planRounds(world);
  planVattings(world);
  planAisleWork(world);
  planStocktake(world);
  planBooks(world);
  yield world.takeActs();
  for (const day of world.agenda.days()) {
    const acts = world.takeActs();
    if (acts.length > 0 && day <= world.lastDay) yield acts;
  }
  for (const filling of world.fillings()) world.matureTo(filling, world.lastDay);
}
