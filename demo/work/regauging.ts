import { dayOf, yearOf } from '../calendar.ts';
import { blunder, caskReadings } from '../instruments.ts';
import { bookOf, litresOf } from '../liquids.ts';
import type { Random } from '../random.ts';
import { temperatureOn } from '../weather.ts';
import type { DemoCask, DemoFilling, DemoZone, World } from '../world.ts';
import { fits, modernOn } from './filling-day.ts';
import { findLeak } from './leaks.ts';

/** Casks one pair of hands gauges in a day. */
const CASKS_A_DAY = 40;
const BLUNDER_SHARE = 0.013;

/** Two rounds a year through every zone, and a last one just before the demo's today. */
export function planRounds(world: World): void {
  for (let year = yearOf(world.firstDay) + 1; year <= yearOf(world.lastDay); year++)
    for (const [month, first] of [
      [5, 4],
      [10, 5],
    ] as const)
      world.zones.forEach((zone, i) => {
        const day = dayOf(year, month, first) + 4 * i;
        if (zone.air !== null) world.agenda.on(day, () => round(world, zone, day));
      });
  const last = lastRoundDay(world);
  world.agenda.on(last, () => {
    lastRound(world, last);
  });
}

export const lastRoundDay = (world: World): number => world.lastDay - 15;

/** Gauges what is due in a zone, over as many days as it takes. */
function round(world: World, zone: DemoZone, day: number): void {
  const due = [...zone.casks].filter(
    (cask) => cask.filling !== null && cask.filling.nextGaugeDay <= day,
  );
  const random = world.random(`round/${zone.code}/${String(day)}`);
  const aDay = CASKS_A_DAY * Math.max(1, Math.ceil(world.scale));
  for (let start = 0; start < due.length; start += aDay) {
    const on = day + start / aDay;
    world.agenda.on(on, () => {
      world.workFrom(on, 8);
      for (const cask of due.slice(start, start + aDay))
        if (cask.filling !== null) regauge(world, random, cask.filling, on);
    });
  }
}

/** One regauge, now and then a blundered one; returns the act's id. */
export function regauge(
  world: World,
  random: Random,
  filling: DemoFilling,
  day: number,
  clumsy = random.chance(BLUNDER_SHARE),
): string {
  world.matureTo(filling, day);
  const litresBefore = litresOf(filling.book);
  const sound = soundReadings(world, random, filling, day);
  const slipped = clumsy
    ? blunder(random, sound, neighbourReadings(world, random, filling, day))
    : null;
  const readings = slipped !== null && possible(slipped, filling.cask) ? slipped : sound;
  filling.book = bookOf(readings, filling.cask.made);
  const days = day - filling.lastGaugedDay;
  filling.lastGaugedDay = day;
  filling.nextGaugeDay = day + random.whole(650, 1500);
  const id = world.act('cask.gauge', { caskId: filling.cask.id, readings });
  if (readings === sound)
    findLeak(world, random, filling, {
      day,
      days,
      lostLitres: litresBefore - litresOf(filling.book),
    });
  else noticeBlunder(world, random, filling, id, day);
  return id;
}

function soundReadings(world: World, random: Random, filling: DemoFilling, day: number) {
  const { cask, contents } = filling;
  const { air } = cask.slot.zone;
  if (air === null) throw new RangeError('a filled cask lies in the yard');
  const truth = {
    liquidTemperatureC: temperatureOn(air, day) + random.normal(0, 0.4),
    thirstDrunkKg: filling.drunkKg,
    modern: modernOn(world, day),
  };
  const method = random.chance(0.82) ? 'dip' : 'weight';
  for (;;) {
    const readings = caskReadings(random, cask.made, contents, truth, method);
    if (possible(readings, cask)) return readings;
  }
}

/** Half the blunders are seen within weeks: gauged again, and the keeper sets the first one aside. */
function noticeBlunder(
  world: World,
  random: Random,
  filling: DemoFilling,
  gaugeId: string,
  day: number,
): void {
  if (!random.chance(0.55)) return;
  const on = day + random.whole(6, 25);
  world.agenda.on(on, () => {
    if (filling.cask.filling !== filling) return;
    world.workFrom(on, 11);
    regauge(world, random, filling, on, false);
    world.act('gauge.judge', {
      gaugeId,
      verdict: 'dismissed',
      reason: 'Gauged again: the first reading cannot have been this cask as it was.',
    });
  });
}

function neighbourReadings(world: World, random: Random, filling: DemoFilling, day: number) {
  const neighbours = [...filling.cask.slot.zone.casks].filter(
    (cask) =>
      cask.filling !== null &&
      cask !== filling.cask &&
      cask.made.cooperage.kind === filling.cask.made.cooperage.kind,
  );
  if (neighbours.length === 0) return null;
  const other = random.pick(neighbours).filling;
  if (other === null || other.contents.filledDay >= day) return null;
  world.matureTo(other, day);
  return soundReadings(world, random, other, day);
}

/** A reading that cannot be (a dip deeper than the cask, more than its brim) is never written down. */
function possible(readings: Parameters<typeof bookOf>[0], cask: DemoCask): boolean {
  try {
    return fits(bookOf(readings, cask.made), cask);
  } catch (error) {
    if (error instanceof RangeError) return false;
    throw error;
  }
}

/** The last round leaves something to find: casks that leak unseen, and two readings nobody has doubted yet. */
function lastRound(world: World, day: number): void {
  const random = world.random('round/last');
  world.workFrom(day, 8);
  const ripe = [...world.fillings()].filter(
    (f) => day - f.contents.filledDay > 900 && day - f.lastGaugedDay > 300,
  );
  const chosen = random.sample(ripe, Math.round(26 * Math.max(1, world.scale)));
  chosen.forEach((filling, i) => {
    if (i % 13 < 2) {
      // Seen by nobody so far; the books will tell.
      const fromDay = day - random.whole(150, 260);
      world.matureTo(filling, Math.max(fromDay, filling.contents.day));
      filling.contents.leak = {
        fromDay: Math.max(fromDay, filling.contents.day),
        kgPerYear: random.between(16, 26),
      };
    }
    regauge(world, random, filling, day, i % 13 === 2);
  });
}
