import { mix, volumeOfLiquid, waterToReduce, type Liquid } from '@rundlet/alcoholometry';
import { thirstShare } from '../cooperage.ts';
import { caskReadings, paperReadings, vatReadings } from '../instruments.ts';
import { bookOf, less, litresFrom, litresOf, NOTHING, waterLiquid } from '../liquids.ts';
import type { Random } from '../random.ts';
import {
  freePlaces,
  freeSlot,
  place,
  type DemoCask,
  type DemoVat,
  type DemoZone,
  type World,
} from '../world.ts';
import { sellCasks } from './customers.ts';
import type { LotPlan } from './distilling.ts';

/** Litres at filling strength that a cask takes, leaving room under the bung for a warm day. */
export const FILL_SHARE = 0.972;
const FILLING_HALL_C = 15;
/** The first seasons were written into a paper book and carried over later. */
const PAPER_DAYS = 500;
const DENSITOMETER_SINCE_DAYS = 1600;

/** A receiver's lot is reduced, filled into its casks and the receiver's balance closed. */
export function fillParcel(
  world: World,
  plan: LotPlan,
  casks: readonly DemoCask[],
  day: number,
): void {
  const random = world.random(`filling/${plan.code}`);
  const vat = world.vat(plan.receiver);
  world.workFrom(day, 7);
  reduce(world, vat, plan.spirit.fillingStrengthPercentVol);
  const readings = vatReadings(random, vat.truth, FILLING_HALL_C + random.normal(0, 1));
  vat.book = bookOf(readings, null);
  world.act('vat.gauge', { vatId: vat.id, readings, cause: 'vat-difference' });
  const paper = day < world.firstDay + PAPER_DAYS;
  const method = random.chance(0.6) ? 'weight' : 'dip';
  const zones = zonesFor(world, random, casks.length);
  let i = 0;
  for (const cask of casks) {
    const litres = Math.min(cask.made.trueCapacityLitres * FILL_SHARE, litresOf(vat.truth));
    const zone = zones[Math.floor((i++ * zones.length) / casks.length)];
    if (zone === undefined) throw new RangeError('no zone was chosen for the parcel');
    fillCask(world, random, {
      cask,
      vat,
      litres,
      zone,
      day,
      lotCode: plan.code,
      generation: 0,
      method: paper ? 'paper' : method,
    });
  }
  closeVat(world, vat, 'filling-difference');
  sellCasks(world, random, casks, day);
}

/** Water down to a strength, worked out from the book and measured into the vat. */
export function reduce(world: World, vat: DemoVat, strengthPercentVol: number): void {
  const now = volumeOfLiquid(vat.book);
  if (now.strengthPercentVol <= strengthPercentVol + 0.02) return;
  const waterLitres = Math.round(waterToReduce(now, strengthPercentVol).waterLitresAt20C * 10) / 10;
  const waterTemperatureC = 12;
  const water = waterLiquid(waterLitres, waterTemperatureC);
  vat.truth = mix(vat.truth, water);
  vat.book = mix(vat.book, water);
  world.act('vat.reduce', { vatId: vat.id, waterLitres, waterTemperatureC });
}

/** The vat is dry: what the book still has is a difference, booked by its name. */
export function closeVat(
  world: World,
  vat: DemoVat,
  cause: 'filling-difference' | 'vat-difference',
): void {
  world.ledger.spilledKg += vat.truth.ethanolKg;
  const strengthPercentVol = volumeOfLiquid(vat.book).strengthPercentVol;
  world.act('vat.gauge', {
    vatId: vat.id,
    readings: {
      method: 'declared',
      bulkLitresAt20C: 0,
      strengthPercentVol,
      uncertaintyLitres: 0.5,
      uncertaintyPercentVol: 0.1,
    },
    cause,
  });
  vat.truth = NOTHING;
  vat.book = NOTHING;
}

export interface Fill {
  readonly cask: DemoCask;
  readonly vat: DemoVat;
  readonly litres: number;
  readonly zone: DemoZone;
  readonly day: number;
  readonly lotCode: string;
  /** how many times this spirit has been vatted and filled again */
  readonly generation: number;
  readonly method: 'dip' | 'weight' | 'paper';
}

export function fillCask(world: World, random: Random, fill: Fill): void {
  const { cask, vat, day } = fill;
  const { liquid, readings, measured } = readFill(world, random, fill);
  vat.truth = less(vat.truth, liquid);
  vat.book = less(vat.book, litresFrom(vat.book, litresOf(measured)));
  const slot = freeSlot(fill.zone);
  const fillingId = world.id();
  const thirst = thirstShare(random, cask.made, cask.fillingsBefore);
  cask.filling = {
    id: fillingId,
    cask,
    contents: {
      ...liquid,
      day,
      filledDay: day,
      thirstKg: (liquid.ethanolKg + liquid.waterKg) * thirst,
      leak: random.chance(0.06)
        ? { fromDay: day + random.whole(200, 3600), kgPerYear: random.between(4, 18) }
        : null,
    },
    book: measured,
    lotCode: fill.lotCode,
    generation: fill.generation,
    account: 'HP',
    drunkKg: 0,
    lastGaugedDay: day,
    nextGaugeDay: day + random.whole(250, 1000),
    held: false,
    planned: false,
  };
  cask.fillingsBefore++;
  place(cask, slot);
  world.act('cask.fill', {
    caskId: cask.id,
    fillingId,
    vatId: vat.id,
    readings,
    positionId: slot.id,
  });
}

/** What goes in and what is read of it, such that the vat's book is not overdrawn nor the cask's brim passed. */
function readFill(world: World, random: Random, fill: Fill) {
  const { cask, vat } = fill;
  for (let litres = fill.litres; ; litres *= 0.995)
    for (let attempt = 0; attempt < 8; attempt++) {
      const liquid = litresFrom(vat.truth, litres);
      const readings =
        fill.method === 'paper'
          ? paperReadings(random, cask.made, liquid)
          : caskReadings(
              random,
              cask.made,
              liquid,
              {
                liquidTemperatureC: FILLING_HALL_C + random.normal(0, 0.5),
                thirstDrunkKg: 0,
                modern: modernOn(world, fill.day),
              },
              fill.method,
            );
      const measured = bookOf(readings, cask.made);
      if (fits(measured, cask) && litresOf(measured) <= litresOf(vat.book) * 0.9995)
        return { liquid, readings, measured };
    }
}

export const modernOn = (world: World, day: number): boolean =>
  day > world.firstDay + DENSITOMETER_SINCE_DAYS;

/** Whether a figure can stand in the book of a cask: no more than its brim. */
export function fits(measured: Liquid, { made }: DemoCask): boolean {
  const brim = Math.min(made.trueCapacityLitres * 1.02, made.capacityLitres ?? Infinity);
  return litresOf(measured) <= brim;
}

/** A parcel lies together, or half in either store so that the two can be compared. */
function zonesFor(world: World, random: Random, casks: number): DemoZone[] {
  const open = world.zones.filter((zone) => zone.air !== null && freePlaces(zone) > 0);
  const roomy = open.filter((zone) => freePlaces(zone) > casks);
  const pool = roomy.length > 0 ? roomy : open;
  const room = (zone: DemoZone): number => freePlaces(zone);
  const first = random.weighted(pool, room);
  if (!random.chance(0.35)) return [first];
  const elsewhere = pool.filter((zone) => zone.storeId !== first.storeId);
  return elsewhere.length === 0 ? [first] : [first, random.weighted(elsewhere, room)];
}
