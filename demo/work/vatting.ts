import { mix, volumeOfLiquid } from '@rundlet/alcoholometry';
import type { BlendAnswer, BlendRequest } from '@rundlet/contracts';
import { dateOf, dayOf, yearOf } from '../calendar.ts';
import { caskReadings, vatReadings } from '../instruments.ts';
import { bookOf, less, litresFrom, litresOf } from '../liquids.ts';
import type { Random } from '../random.ts';
import { temperatureOn } from '../weather.ts';
import { freePlaces, type DemoFilling, type DemoVat, type World } from '../world.ts';
import { toYard } from './cask-yard.ts';
import { closeVat, FILL_SHARE, fillCask, fits, modernOn, reduce } from './filling-day.ts';

const CASKS_IN_A_VATTING = 13;
const YOUNGEST_YEARS = 4;
/** Kept this long, a cask is for something special and isn't touched. */
const OLDEST_YEARS = 11;
const MARRYING_STRENGTH = 56;
const BOTTLING_STRENGTH = 46;

const NAMES = [
  'Spring Tide',
  'Lamp Oil',
  'Hedge Light',
  'Slack Water',
  'Orchard Wall',
  'Long Shore',
  'Night Rope',
  'Marl and Salt',
  'Low Lantern',
];

/** From the fifth year on the estate vats some casks each year: part is bottled, part goes back into wood to marry. */
export function planVattings(world: World): void {
  let serial = 0;
  for (let year = yearOf(world.firstDay) + 5; year <= yearOf(world.lastDay); year++)
    for (const [month, of] of [
      [6, 0],
      [11, 1],
    ] as const) {
      const day = dayOf(year, month, 6);
      if (of === 1 && year % 2 === 0) continue;
      const name = NAMES[serial % NAMES.length] ?? 'Harrow Blend';
      const code = `BL${String(year).slice(2)}-${String(of + 1)}`;
      serial++;
      if (day + 40 > world.lastDay) continue;
      world.agenda.on(day, () => {
        vatting(world, { day, code, name: `${name} ${String(year)}` });
      });
    }
}

interface Vatting {
  readonly day: number;
  readonly code: string;
  readonly name: string;
}

function vatting(world: World, { day, code, name }: Vatting): void {
  const random = world.random(`vatting/${code}`);
  const vat = world.vat('marrying-vat');
  const chosen = choose(world, random, day, vat);
  if (chosen.length < 4) return;
  for (const filling of chosen) filling.planned = true;
  world.workFrom(day, 13);
  const planId = savePlan(world, { day: day + 21, code, name }, chosen);
  world.agenda.on(day + 9, () => {
    world.workFrom(day + 9, 10);
    world.act('plan.reserve', { planId, vatId: vat.id });
  });
  world.agenda.on(day + 21, () => {
    world.workFrom(day + 21, 8);
    for (const filling of chosen) disgorge(world, random, filling, vat, planId, day + 21);
    reduce(world, vat, MARRYING_STRENGTH);
  });
  world.agenda.on(day + 23, () => {
    world.workFrom(day + 23, 9);
    const readings = vatReadings(random, vat.truth, 14);
    vat.book = bookOf(readings, null);
    world.act('plan.complete', { planId, blendId: world.id(), code, name, readings });
    world.agenda.on(day + 26, () => marry(world, random, vat, code, day + 26));
    world.agenda.on(day + 33, () => bottle(world, vat, day + 33));
  });
}

/** Ripe casks of the estate's own, of two or more lots, as many as the vat takes. */
function choose(world: World, random: Random, day: number, vat: DemoVat): DemoFilling[] {
  const ripe = [...world.fillings()].filter((filling) => {
    const years = (day - filling.contents.filledDay) / 365.25;
    return (
      years >= YOUNGEST_YEARS &&
      years <= OLDEST_YEARS &&
      filling.account === 'HP' &&
      !filling.held &&
      !filling.planned &&
      filling.lastGaugedDay < day
    );
  });
  const lots = random.sample([...new Set(ripe.map((f) => f.lotCode))], 4);
  const wanted = random.sample(
    ripe.filter((f) => lots.includes(f.lotCode)),
    Math.round(CASKS_IN_A_VATTING * Math.max(0.4, world.scale)),
  );
  let room = vat.capacityLitres * 0.75;
  return wanted.filter((filling) => (room -= litresOf(filling.book)) > 0);
}

function savePlan(
  world: World,
  { day, code, name }: Vatting,
  chosen: readonly DemoFilling[],
): string {
  const parts = chosen.map((filling) => ({ filling, ...volumeOfLiquid(filling.book) }));
  const total = volumeOfLiquid(mix(...chosen.map((filling) => filling.book)));
  const reduction = volumeOfLiquid(mix(...chosen.map((f) => f.book)));
  const target = {
    litres: Math.round((reduction.litresPureAlcohol * 100) / MARRYING_STRENGTH),
    strength: MARRYING_STRENGTH,
  };
  const blendOn = dateOf(day);
  const id = world.id();
  const request: BlendRequest = {
    blendOn,
    target: {
      bulkLitresAt20C: target.litres,
      volumeTolerancePercent: 2,
      strengthPercentVol: target.strength,
      strengthTolerancePercentVol: 0.3,
    },
    dutyStatus: 'suspended',
    water: 'allowed',
    parts: 'whole-casks',
    youngestYears: YOUNGEST_YEARS,
    include: chosen.map((filling) => filling.id),
    aims: [{ kind: 'closest-to-target', priority: 1, weight: 1 }],
    alternatives: 0,
    timeLimitSeconds: 20,
  };
  const waterLitresAt20C = Math.max(0, Math.round(target.litres - total.bulkLitresAt20C));
  const answer: BlendAnswer = {
    status: 'within-gap',
    gap: null,
    levels: [],
    candidates: chosen.length,
    excluded: [],
    plans: [],
    conflict: [],
    sensitivity: [],
    seconds: 0,
    message: 'Chosen at the bench, by nose; no solver was asked.',
  };
  world.act('plan.save', {
    id,
    code,
    name,
    blendOn,
    targetLitresAt20C: target.litres,
    targetStrengthPercentVol: target.strength,
    request,
    answer,
    parts: parts.map(({ filling, bulkLitresAt20C, strengthPercentVol }) => ({
      fillingId: filling.id,
      bulkLitresAt20C,
      strengthPercentVol,
      whole: true,
    })),
    waterLitresAt20C,
  });
  return id;
}

function disgorge(
  world: World,
  random: Random,
  filling: DemoFilling,
  vat: DemoVat,
  planId: string,
  day: number,
): void {
  const { cask, contents } = filling;
  // Re-racked or emptied since the plan was made: the vat does without it.
  if (cask.filling !== filling) return;
  world.matureTo(filling, day);
  const { air } = cask.slot.zone;
  if (air === null) throw new RangeError('a filled cask lies in the yard');
  const gauge = () =>
    caskReadings(
      random,
      cask.made,
      contents,
      {
        liquidTemperatureC: temperatureOn(air, day),
        thirstDrunkKg: filling.drunkKg,
        modern: modernOn(world, day),
      },
      'dip',
    );
  let readings = gauge();
  while (!fits(bookOf(readings, cask.made), cask)) readings = gauge();
  const spilt = litresFrom(contents, litresOf(contents) * 0.003);
  world.ledger.spilledKg += spilt.ethanolKg;
  vat.truth = mix(vat.truth, less(contents, spilt));
  vat.book = mix(vat.book, bookOf(readings, cask.made));
  world.act('cask.disgorge', {
    caskId: cask.id,
    vatId: vat.id,
    readings,
    bulkLitresAt20C: null,
    planId,
  });
  cask.filling = null;
  toYard(world, cask);
}

/** Some of the vat goes back into wood. */
function marry(world: World, random: Random, vat: DemoVat, lotCode: string, day: number): void {
  world.workFrom(day, 9);
  const upTo = litresOf(vat.truth) * random.between(0.35, 0.55);
  let poured = 0;
  while (poured < upTo && world.empties.length > 0) {
    const cask = world.empties.shift();
    const zone = random.weighted(
      world.zones.filter((z) => z.air !== null),
      freePlaces,
    );
    if (cask === undefined) break;
    const litres = cask.made.trueCapacityLitres * FILL_SHARE;
    if (litres > litresOf(vat.truth) * 0.9) break;
    fillCask(world, random, {
      cask,
      vat,
      litres,
      zone,
      day,
      lotCode,
      generation: 1,
      method: 'dip',
    });
    poured += litres;
  }
}

function bottle(world: World, vat: DemoVat, day: number): void {
  world.workFrom(day, 10);
  reduce(world, vat, BOTTLING_STRENGTH);
  sendOut(world, vat, 0.2, 'A merchant across the bay', 'delivered');
  sendOut(world, vat, 0.995, 'Bottling hall', 'bottled');
  closeVat(world, vat, 'vat-difference');
}

/** So much of what a vat holds by the book leaves the account. */
function sendOut(
  world: World,
  vat: DemoVat,
  share: number,
  to: string,
  kind: 'delivered' | 'bottled',
): void {
  const litres = Math.floor(litresOf(vat.book) * share);
  const gone = litresFrom(vat.truth, litres);
  world.ledger.deliveredKg += gone.ethanolKg;
  vat.truth = less(vat.truth, gone);
  vat.book = less(vat.book, litresFrom(vat.book, litres));
  world.act('vat.deliver', { vatId: vat.id, bulkLitresAt20C: litres, to, kind });
}
