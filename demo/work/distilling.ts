import {
  ethanolKgFromLitresPureAlcohol,
  liquidFromVolume,
  litresPureAlcoholFromEthanolKg,
  mix,
} from '@rundlet/alcoholometry';
import { dateOf, yearOf } from '../calendar.ts';
import { CASK_PLANS, cooperLot, makeCask, type MadeCask } from '../cooperage.ts';
import type { SpiritPlan } from '../estate.ts';
import { vatReadings } from '../instruments.ts';
import { bookOf } from '../liquids.ts';
import type { Random } from '../random.ts';
import type { DemoCask, World } from '../world.ts';
import { buyCasks } from './cask-yard.ts';
import { FILL_SHARE, fillParcel } from './filling-day.ts';
import { fermentStrength, HEARTS_SHARE, type Harvest } from './season.ts';

/** One spirit lot that is meant to be made, and for how many new casks. */
export interface LotPlan {
  readonly code: string;
  readonly spirit: SpiritPlan;
  readonly receiver: string;
  readonly runDay: number;
  readonly casks: number;
  /** the last lot: it still waits in its receiver for filling day */
  readonly waiting: boolean;
  readonly parts: readonly { readonly share: number; readonly harvest: Harvest }[];
}

const FERMENT_DAYS = { pear: 34, apple: 38, barley: 5, rye: 5 } as const;
/** Refills go into a lot beside new casks, up to this share. */
const REFILL_SHARE = 0.35;
/** A few empty casks stay in the yard for whatever starts to leak. */
const KEPT_IN_RESERVE = 6;
const STILL_CHARGE_HEARTS_LITRES = 2400;

/** Ferment, runs, lot, receiver; then, some days later, the filling. */
export function scheduleLot(world: World, plan: LotPlan): void {
  const random = world.random(`lot/${plan.code}`);
  const startDay = plan.runDay - FERMENT_DAYS[plan.spirit.crop];
  if (startDay < world.firstDay) return;
  world.agenda.on(startDay, () => {
    const made = chooseCasks(world, random, plan);
    const refills = plan.waiting ? [] : takeRefills(world, plan);
    const litres = [...made, ...refills.map((cask) => cask.made)].reduce(
      (sum, cask) => sum + cask.trueCapacityLitres * FILL_SHARE,
      0,
    );
    if (litres === 0) return;
    world.agenda.on(plan.runDay, () => {
      distil(world, random, plan, startDay, litres);
      world.agenda.on(plan.runDay + 3, () => {
        const fresh = buyCasks(world, made, plan.runDay + 3);
        if (plan.waiting) return;
        const fillDay = plan.runDay + random.whole(5, 9);
        world.agenda.on(fillDay, () => {
          fillParcel(world, plan, [...fresh, ...refills], fillDay);
        });
      });
    });
  });
}

/** One kind rules a parcel; others and some small ones go along. */
function chooseCasks(world: World, random: Random, plan: LotPlan): MadeCask[] {
  const main = random.weighted(plan.waiting ? CASK_PLANS.slice(0, 1) : CASK_PLANS, (p) => p.share);
  const lot = cooperLot(random, yearOf(plan.runDay), random.whole(1, 999));
  return Array.from({ length: plan.casks }, () =>
    makeCask(
      random,
      lot,
      random.chance(plan.waiting ? 0.85 : 0.55)
        ? main
        : random.weighted(CASK_PLANS, (p) => p.share),
    ),
  );
}

function takeRefills(world: World, plan: LotPlan): DemoCask[] {
  const spare = Math.max(0, world.empties.length - KEPT_IN_RESERVE);
  return world.empties.splice(0, Math.min(spare, Math.floor(plan.casks * REFILL_SHARE)));
}

function distil(
  world: World,
  random: Random,
  plan: LotPlan,
  startDay: number,
  fillLitres: number,
): void {
  const year = yearOf(plan.runDay);
  const strength = 70 + random.normal(0, 0.4);
  // A little is always left in pipes, pumps and hoses.
  const ethanolKg =
    ethanolKgFromLitresPureAlcohol((fillLitres * plan.spirit.fillingStrengthPercentVol) / 100) *
    random.between(1.004, 1.007);
  const heartsLitres = (litresPureAlcoholFromEthanolKg(ethanolKg) * 100) / strength;
  world.workFrom(plan.runDay, 15);
  const inputs: { stillRunId: string; share: number }[] = [];
  for (const { share, harvest } of plan.parts) {
    const hearts = heartsLitres * share;
    const ferment = recordFerment(world, random, plan, startDay, hearts * strength, harvest);
    const charge = STILL_CHARGE_HEARTS_LITRES * Math.max(1, world.scale);
    const runs = Math.max(1, Math.ceil(hearts / charge));
    const part = { id: ferment.id, litres: Math.floor((10 * ferment.litres) / runs) / 10 };
    for (let run = 0; run < runs; run++)
      inputs.push({
        stillRunId: recordRun(world, random, plan, part, hearts / runs, strength),
        share: share / runs,
      });
  }
  const lotId = world.id();
  const words = plan.parts.map((part) => part.harvest.plot.name).join(' and ');
  world.act('spirit-lot.record', {
    id: lotId,
    code: plan.code,
    name: `${plan.spirit.name} ${String(year)}, ${words}`,
    inputs: closed(inputs),
  });
  const vat = world.vat(plan.receiver);
  const received = liquidFromVolume(heartsLitres, strength);
  const readings = vatReadings(random, received, random.between(14, 18));
  vat.truth = mix(vat.truth, received);
  vat.book = mix(vat.book, bookOf(readings, null));
  world.ledger.receivedKg += received.ethanolKg;
  world.act('spirit.receive', { vatId: vat.id, lotId, readings });
}

/** Shares rounded to a millionth, the last one such that they sum to 1. */
function closed(inputs: { stillRunId: string; share: number }[]): typeof inputs {
  const rounded = inputs.map((input) => ({ ...input, share: Math.round(input.share * 1e6) / 1e6 }));
  const others = rounded.slice(0, -1).reduce((sum, input) => sum + input.share, 0);
  return rounded.map((input, i) =>
    i === rounded.length - 1 ? { ...input, share: Math.round((1 - others) * 1e6) / 1e6 } : input,
  );
}

function recordFerment(
  world: World,
  random: Random,
  plan: LotPlan,
  startDay: number,
  heartsLpaTimes100: number,
  harvest: Harvest,
): { id: string; litres: number } {
  if (harvest.id === null)
    throw new RangeError(`${harvest.plot.code} is fermented before its harvest`);
  const strengthPercentVol =
    Math.round(fermentStrength(plan.spirit) * random.between(0.98, 1.02) * 100) / 100;
  const bulkLitresAt20C = Math.ceil(heartsLpaTimes100 / HEARTS_SHARE / strengthPercentVol);
  const id = world.id();
  const year = String(yearOf(plan.runDay)).slice(2);
  world.act('ferment.record', {
    id,
    code: `F${year}-${serial(world, `ferment/${year}`)}`,
    vessel: `Washback ${String(random.whole(1, 6))}`,
    yeast: plan.spirit.yeast,
    startedOn: dateOf(startDay),
    endedOn: dateOf(plan.runDay - 1),
    inputs: [
      {
        harvestLotId: harvest.id,
        massKg: Math.ceil(bulkLitresAt20C / plan.spirit.fermentLitresPerKg),
      },
    ],
    bulkLitresAt20C,
    strengthPercentVol,
  });
  return { id, litres: bulkLitresAt20C };
}

function recordRun(
  world: World,
  random: Random,
  plan: LotPlan,
  ferment: { readonly id: string; readonly litres: number },
  heartsLitres: number,
  heartsStrength: number,
): string {
  const id = world.id();
  const yy = String(yearOf(plan.runDay)).slice(2);
  const round = (litres: number): number => Math.round(litres * 10) / 10;
  world.act('still-run.record', {
    id,
    code: `R${yy}-${serial(world, `run/${yy}`)}`,
    still: plan.spirit.still,
    ranOn: dateOf(plan.runDay),
    inputs: [{ fermentId: ferment.id, bulkLitresAt20C: ferment.litres }],
    headsLitresAt20C: round(heartsLitres * 0.02),
    heartsLitresAt20C: round(heartsLitres),
    heartsStrengthPercentVol: round(heartsStrength),
    tailsLitresAt20C: round(heartsLitres * random.between(0.22, 0.3)),
  });
  return id;
}

function serial(world: World, series: string): string {
  const next = (world.series.get(series) ?? 0) + 1;
  world.series.set(series, next);
  return String(next).padStart(3, '0');
}
