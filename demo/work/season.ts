import { dateOf, dayOf, yearOf } from '../calendar.ts';
import { PLOTS, SPIRITS, type PlotPlan, type SpiritPlan } from '../estate.ts';
import type { World } from '../world.ts';
import { scheduleLot, type LotPlan } from './distilling.ts';

/** Share of the estate's casks that stand empty for the lot in the receiver. */
const WAITING_SHARE = 0.045;
const SEASONS = 12;
/** For sizing a harvest before the casks are bought, L: so much for each, and room for a large one more. */
const LITRES_PER_CASK = 235;
const LITRES_TO_SPARE = 450;
/** Days from the first run of a lot until its last cask is racked and the receiver clean. */
const LOT_DAYS = 12;

/** Litres of ethanol in the ferment that end up in the hearts: common practice, no published source. */
export const HEARTS_SHARE = 0.88;
/** Litres of ethanol a kilogram of sugar gives in practice (0.647 L is all there is in it). */
const ETHANOL_LITRES_PER_KG_SUGAR = 0.583;

/** % vol of a ferment of this raw material. */
export function fermentStrength(spirit: SpiritPlan): number {
  const gotOut = spirit.crop === 'pear' || spirit.crop === 'apple' ? 0.72 : 0.88;
  return (
    (spirit.sugarPercentMass * ETHANOL_LITRES_PER_KG_SUGAR * gotOut) / spirit.fermentLitresPerKg
  );
}

/** How many lots of one spirit a season makes; each has a receiver of its own. */
export const lotsPerSpirit = (scale: number): number => Math.max(1, Math.round(scale ** 0.6));

interface Wish {
  readonly spirit: SpiritPlan;
  readonly code: string;
  readonly harvestYear: number;
  readonly runDay: number;
  readonly receiver: string;
  readonly weight: number;
}

/** Notes twelve seasons of harvests and lots, and the last lot that still waits in its receiver. */
export function planSeasons(world: World, plotIds: ReadonlyMap<string, string>): void {
  const wishes = seasonWishes(world);
  const waitingCasks = Math.max(6, Math.round(world.options.casks * WAITING_SHARE));
  const total = wishes.reduce((sum, wish) => sum + wish.weight, 0);
  const harvests = new Harvests(world, plotIds);
  let owed = 0;
  for (const wish of wishes) {
    owed += ((world.options.casks - waitingCasks) * wish.weight) / total;
    const casks = Math.floor(owed + 1e-9);
    owed -= casks;
    // A very small estate doesn't make every spirit every year.
    if (casks > 0) scheduleLot(world, planLot(world, harvests, wish, casks, false));
  }
  scheduleLot(world, planLot(world, harvests, lastWish(world), waitingCasks, true));
}

function seasonWishes(world: World): Wish[] {
  const firstYear = yearOf(world.firstDay);
  const wishes: Wish[] = [];
  for (let season = 0; season <= SEASONS; season++)
    for (const spirit of SPIRITS)
      for (let i = 0; i < lotsPerSpirit(world.scale); i++) {
        const harvestYear = firstYear + season;
        const { month, day } = spirit.firstRun;
        const runDay = dayOf(month < 8 ? harvestYear + 1 : harvestYear, month, day) + 2 * i;
        if (runDay + 2 * LOT_DAYS > world.lastDay) continue;
        wishes.push({
          spirit,
          code: `${spirit.code}${String(harvestYear).slice(2)}-${String(i + 1)}`,
          harvestYear,
          runDay,
          receiver: `receiver-${String(i + 1)}`,
          // The estate grew: its last seasons lay down half as much again as its first.
          weight: 0.8 + 0.04 * season,
        });
      }
  return wishes;
}

function lastWish(world: World): Wish {
  const spirit = SPIRITS.find((s) => s.crop === 'barley');
  if (spirit === undefined) throw new RangeError('Harrow Point makes no barley spirit');
  const runDay = world.lastDay - 6;
  // Barley of the harvest before last, malted in the meantime.
  const harvestYear = yearOf(runDay) - 1;
  const code = `${spirit.code}${String(harvestYear).slice(2)}-W`;
  return { spirit, code, harvestYear, runDay, receiver: 'receiver-1', weight: 0 };
}

function planLot(
  world: World,
  harvests: Harvests,
  wish: Wish,
  casks: number,
  waiting: boolean,
): LotPlan {
  const random = world.random(`season/${wish.code}`);
  const grown = PLOTS.filter((plot) => plot.crop === wish.spirit.crop);
  const plots = random.sample(grown, random.chance(0.6) ? 2 : 1);
  const first = plots.length === 1 ? 1 : Math.round(random.between(45, 70)) / 100;
  const litresPureAlcohol =
    ((casks * LITRES_PER_CASK + LITRES_TO_SPARE) * wish.spirit.fillingStrengthPercentVol) /
    100 /
    HEARTS_SHARE;
  const perKg = (wish.spirit.fermentLitresPerKg * fermentStrength(wish.spirit)) / 100;
  return {
    code: wish.code,
    spirit: wish.spirit,
    receiver: wish.receiver,
    runDay: wish.runDay,
    casks,
    waiting,
    parts: plots.map((plot, i) => {
      const share = i === 0 ? first : 1 - first;
      return { share, harvest: harvests.want(wish, plot, (litresPureAlcohol * share) / perKg) };
    }),
  };
}

/** A harvest lot as it will be recorded; its id is known from that day on. */
export interface Harvest {
  id: string | null;
  wantedKg: number;
  readonly plot: PlotPlan;
}

/** Several lots of a season may want a plot's harvest: it is recorded once, with all that is wanted of it. */
class Harvests {
  readonly #world: World;
  readonly #plotIds: ReadonlyMap<string, string>;
  readonly #byCode = new Map<string, Harvest>();

  constructor(world: World, plotIds: ReadonlyMap<string, string>) {
    this.#world = world;
    this.#plotIds = plotIds;
  }

  want(wish: Wish, plot: PlotPlan, kg: number): Harvest {
    const code = `H${String(wish.harvestYear).slice(2)}-${plot.code}`;
    const known = this.#byCode.get(code);
    if (known !== undefined) {
      known.wantedKg += kg;
      return known;
    }
    const harvest: Harvest = { id: null, wantedKg: kg, plot };
    this.#byCode.set(code, harvest);
    const random = this.#world.random(`harvest/${code}`);
    const [month, day] = HARVEST_DAY[plot.crop];
    const on = dayOf(wish.harvestYear, month, day) + random.whole(0, 14);
    const sugar = wish.spirit.sugarPercentMass + random.normal(0, 0.4);
    this.#world.agenda.on(on, () => {
      this.#record(code, harvest, on, Math.round(sugar * 10) / 10);
    });
    return harvest;
  }

  #record(code: string, harvest: Harvest, on: number, sugarPercentMass: number): void {
    const plotId = this.#plotIds.get(harvest.plot.code);
    if (plotId === undefined) throw new RangeError(`plot ${harvest.plot.code} was never recorded`);
    this.#world.workFrom(on, 18);
    harvest.id = this.#world.id();
    this.#world.act('harvest.record', {
      id: harvest.id,
      code,
      plotId,
      harvestedOn: dateOf(on),
      // More than is wanted: casks filled again need spirit too, and what is left over is sold.
      massKg: Math.ceil((harvest.wantedKg * 1.7) / 10) * 10,
      sugarPercentMass,
    });
  }
}

const HARVEST_DAY = {
  pear: [9, 22],
  apple: [10, 8],
  barley: [8, 12],
  rye: [8, 6],
} as const;
