import { makeSampleCode } from '@rundlet/identifiers';
import { dayOf, yearOf } from '../calendar.ts';
import { less, litresFrom, litresOf } from '../liquids.ts';
import type { Random } from '../random.ts';
import { freePlaces, freeSlot, place, type DemoFilling, type World } from '../world.ts';

/** What happens in the aisles besides filling and gauging, month by month and per thousand filled casks. */
const MOVES_A_MONTH = 3;
const SAMPLES_A_MONTH = 5;
const TOP_UPS_A_YEAR = 12;
const HOLDS_A_YEAR = 4;
const NOTES_A_YEAR = 8;

export function planAisleWork(world: World): void {
  for (let year = yearOf(world.firstDay); year <= yearOf(world.lastDay); year++)
    for (let month = 1; month <= 12; month++) {
      const day = dayOf(year, month, 19);
      if (day > world.firstDay) world.agenda.on(day, () => aisleDay(world, day));
    }
}

function aisleDay(world: World, day: number): void {
  const random = world.random(`aisle/${String(day)}`);
  const ripe = [...world.fillings()].filter((f) => day - f.contents.filledDay > 120 && !f.planned);
  const often = (perThousand: number): number => {
    const expected = (ripe.length * perThousand) / 1000;
    return Math.floor(expected) + (random.chance(expected % 1) ? 1 : 0);
  };
  world.workFrom(day, 9);
  for (const filling of random.sample(ripe, often(MOVES_A_MONTH)))
    move(world, random, filling, day);
  for (const filling of random.sample(ripe, often(SAMPLES_A_MONTH)))
    sample(world, random, filling, day);
  for (const filling of random.sample(ripe, often(TOP_UPS_A_YEAR / 12)))
    topUp(world, random, filling, ripe, day);
  for (const filling of random.sample(ripe, often(HOLDS_A_YEAR / 12))) {
    filling.held = true;
    world.act('cask.hold', { caskId: filling.cask.id, reason: random.pick(REASONS) });
  }
  for (const filling of random.sample(ripe, often(NOTES_A_YEAR / 12)))
    world.act('cask.note', { caskId: filling.cask.id, text: random.pick(NOTES) });
}

const REASONS = [
  'Kept for the twenty-year-old',
  'Bench wants to taste it again',
  'Promised to a harvest dinner',
];
const NOTES = [
  'Bung stave proud; use the long rod.',
  'Label rubbed, still reads by hand.',
  'Dunnage under the rear chime is soft; shim it before the next lift.',
  'Smells of quince since the spring. Tell the blender.',
];

function move(world: World, random: Random, filling: DemoFilling, day: number): void {
  const from = filling.cask.slot.zone;
  // Mostly along the same floor; now and then to the other store to slow or quicken it.
  const zones = random.chance(0.75) ? [from] : world.zones.filter((zone) => zone.air !== null);
  const to = random.pick(zones);
  if (freePlaces(to) === 0) return;
  world.matureTo(filling, day);
  const slot = freeSlot(to);
  place(filling.cask, slot);
  world.act('cask.move', { caskId: filling.cask.id, positionId: slot.id });
}

function sample(world: World, random: Random, filling: DemoFilling, day: number): void {
  world.matureTo(filling, day);
  const bulkLitresAt20C = random.pick([0.1, 0.2, 0.2, 0.5]);
  draw(world, filling, bulkLitresAt20C, 'sampledKg');
  world.act('cask.sample', {
    caskId: filling.cask.id,
    sampleId: world.id(),
    code: makeSampleCode(++world.serials.sample),
    bulkLitresAt20C,
    purpose: random.pick(['Bench', 'Bench', 'Laboratory', 'Owner’s sample']),
  });
}

/** From a cask of the same lot and owner, so that nothing foreign comes in. */
function topUp(
  world: World,
  random: Random,
  filling: DemoFilling,
  ripe: readonly DemoFilling[],
  day: number,
): void {
  const sources = ripe.filter(
    (other) =>
      other !== filling &&
      other.account === filling.account &&
      other.cask.filling === other &&
      !other.held &&
      litresOf(other.book) > 60,
  );
  const same = sources.filter((other) => other.lotCode === filling.lotCode);
  if (sources.length === 0) return;
  const source = random.pick(same.length > 0 && random.chance(0.6) ? same : sources);
  world.matureTo(filling, day);
  world.matureTo(source, day);
  const room = Math.min(
    filling.cask.made.trueCapacityLitres - litresOf(filling.contents),
    filling.cask.made.trueCapacityLitres * 0.98 - litresOf(filling.book),
  );
  const bulkLitresAt20C = Math.round(Math.min(25, room * 0.7, litresOf(source.book) * 0.3) * 2) / 2;
  if (bulkLitresAt20C < 3) return;
  const given = draw(world, source, bulkLitresAt20C, null);
  filling.contents.ethanolKg += given.truth.ethanolKg;
  filling.contents.waterKg += given.truth.waterKg;
  filling.book = {
    ethanolKg: filling.book.ethanolKg + given.book.ethanolKg,
    waterKg: filling.book.waterKg + given.book.waterKg,
  };
  world.act('cask.top-up', {
    caskId: filling.cask.id,
    source: { kind: 'cask', caskId: source.cask.id },
    bulkLitresAt20C,
  });
}

/** Takes litres out of a filling, in truth and in the book. */
function draw(world: World, filling: DemoFilling, litres: number, into: 'sampledKg' | null) {
  const truth = litresFrom(filling.contents, litres);
  const book = litresFrom(filling.book, litres);
  filling.contents.ethanolKg -= truth.ethanolKg;
  filling.contents.waterKg -= truth.waterKg;
  filling.book = less(filling.book, book);
  if (into !== null) world.ledger[into] += truth.ethanolKg;
  return { truth, book };
}
