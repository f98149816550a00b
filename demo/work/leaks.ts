import { litresOf, share } from '../liquids.ts';
import type { Random } from '../random.ts';
import { caskReadings } from '../instruments.ts';
import { bookOf } from '../liquids.ts';
import { temperatureOn } from '../weather.ts';
import { freeSlot, place, type DemoCask, type DemoFilling, type World } from '../world.ts';
import { thirstShare } from '../cooperage.ts';
import { modernOn } from './filling-day.ts';
import { toYard } from './cask-yard.ts';

/** A regauge that shows more gone than this, a year and per 200 L, sends somebody with a lamp. */
const SUSPICIOUS_LITRES_A_YEAR = 14;
/** Losses of the last weeks have not been looked into yet. */
const NOT_LOOKED_AT_DAYS = 40;

export function findLeak(
  world: World,
  random: Random,
  filling: DemoFilling,
  seen: { readonly day: number; readonly days: number; readonly lostLitres: number },
): void {
  const { leak } = filling.contents;
  if (leak === null || leak.fromDay >= seen.day || seen.day > world.lastDay - NOT_LOOKED_AT_DAYS)
    return;
  const aYear = (seen.lostLitres * 365.25) / Math.max(120, seen.days);
  const size = (filling.cask.made.cooperage.nominalLitres / 200) ** 0.67;
  if (aYear / size < SUSPICIOUS_LITRES_A_YEAR) return;
  const lookDay = seen.day + random.whole(1, 5);
  world.agenda.on(lookDay, () => {
    if (filling.cask.filling !== filling) return;
    world.workFrom(lookDay, 10);
    world.act('cask.inspect', {
      caskId: filling.cask.id,
      condition: 'leaking',
      finding: random.pick(FINDINGS),
    });
    const mendDay = lookDay + random.whole(2, 12);
    world.agenda.on(mendDay, () => {
      if (filling.cask.filling === filling) mend(world, random, filling, mendDay);
    });
  });
}

const FINDINGS = [
  'Weeping at the chime, sugar crust below the head joint.',
  'Drip from a worm hole in the third stave left of the bung.',
  'Damp run along a quarter stave; hoop has crept.',
];

/** Mended where it lies, or re-racked when a fitting cask stands empty. */
function mend(world: World, random: Random, filling: DemoFilling, day: number): void {
  world.matureTo(filling, day);
  const litres = litresOf(filling.contents);
  const at = world.empties.findIndex(
    ({ made }) =>
      made.trueCapacityLitres * 0.97 > litres && made.trueCapacityLitres < litres * 1.35,
  );
  const [other] = at >= 0 && random.chance(0.6) ? world.empties.splice(at, 1) : [];
  if (other !== undefined) {
    reRack(world, random, filling, other, day);
    return;
  }
  filling.contents.leak = null;
  world.act('cask.inspect', {
    caskId: filling.cask.id,
    condition: 'sound',
    finding: 'Hoop driven, hole spiled and flagged; dry after a week.',
  });
}

function reRack(
  world: World,
  random: Random,
  filling: DemoFilling,
  to: DemoCask,
  day: number,
): void {
  const from = filling.cask;
  const { slot } = from;
  const air = slot.zone.air;
  if (air === null) return;
  // What stays on the hoops and in the hose.
  const spilt = share(filling.contents, 0.004);
  world.ledger.spilledKg += spilt.ethanolKg;
  const liquid = share(filling.contents, 0.996);
  const readings = caskReadings(
    random,
    to.made,
    liquid,
    { liquidTemperatureC: temperatureOn(air, day), thirstDrunkKg: 0, modern: modernOn(world, day) },
    'dip',
  );
  const fillingId = world.id();
  to.filling = {
    ...filling,
    id: fillingId,
    cask: to,
    contents: {
      ...liquid,
      day,
      filledDay: day,
      thirstKg:
        (liquid.ethanolKg + liquid.waterKg) * thirstShare(random, to.made, to.fillingsBefore),
      leak: null,
    },
    book: bookOf(readings, to.made),
    drunkKg: 0,
    lastGaugedDay: day,
    nextGaugeDay: day + random.whole(400, 1100),
  };
  to.fillingsBefore++;
  from.filling = null;
  world.act('cask.re-rack', {
    fromCaskId: from.id,
    toCaskId: to.id,
    fillingId,
    readings,
    positionId: null,
  });
  toYard(world, from);
  const back = freeSlot(slot.zone);
  place(to, back);
  world.act('cask.move', { caskId: to.id, positionId: back.id });
}
