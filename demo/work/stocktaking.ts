import { makeCaskCode } from '@rundlet/identifiers';
import type { World } from '../world.ts';

/** A count of the loft is under way when the demo is opened: most casks seen, a few things to sort out. */
export function planStocktake(world: World): void {
  const day = world.lastDay - 2;
  world.agenda.on(day, () => {
    const random = world.random('stocktake');
    const zone = world.zone('ROPE-H');
    world.workFrom(day, 8);
    const stocktakeId = world.id();
    world.act('stocktake.open', {
      id: stocktakeId,
      code: 'ST-HEMP-1',
      title: 'Hemp loft, autumn count',
      scope: { storeId: zone.storeId, zoneIds: [zone.id], rows: [] },
      blind: false,
    });
    const casks = [...zone.casks];
    const counted = casks.slice(0, Math.floor(casks.length * 0.7));
    const count = (
      scanned: string,
      caskId: string | null,
      positionId: string | null,
      damagedLabel = false,
    ): void => {
      world.act('stocktake.count', { stocktakeId, scanned, caskId, positionId, damagedLabel });
    };
    counted.forEach((cask, i) => {
      // Two neighbours have changed places; one label had to be keyed in; one cask was nowhere to be seen.
      const stands = i === 5 ? counted[6] : i === 6 ? counted[5] : cask;
      if (i === 11) return;
      count(cask.code, cask.id, (stands ?? cask).slot.id, i === 17);
    });
    const twice = counted[2];
    if (twice !== undefined) count(twice.code, twice.id, twice.slot.id);
    // A label of no cask the book knows.
    const place = random.pick(zone.slots);
    count(makeCaskCode(world.serials.cask + 4000), null, place.id);
  });
}
