import { makeCaskCode } from '@rundlet/identifiers';
import type { MadeCask } from '../cooperage.ts';
import { YARD } from '../estate.ts';
import { freeSlot, leave, place, type DemoCask, type World } from '../world.ts';

/** Wood is not filled for ever: after this many fillings with spirit a cask goes. */
const FILLINGS_A_CASK_STANDS = 4;

/** New casks come into the yard, each with its number and the cooper's own. */
export function buyCasks(world: World, made: readonly MadeCask[], day: number): DemoCask[] {
  world.workFrom(day, 9);
  const yard = world.zone(YARD.code);
  return made.map((cask) => {
    const slot = freeSlot(yard);
    const bought: DemoCask = {
      id: world.id(),
      code: makeCaskCode(++world.serials.cask),
      made: cask,
      slot,
      filling: null,
      fillingsBefore: 0,
    };
    world.casks.push(bought);
    place(bought, slot);
    world.act('cask.register', {
      id: bought.id,
      code: bought.code,
      cooperage: cask.cooperage,
      geometry: cask.geometry,
      capacityLitres: cask.capacityLitres,
      tareKg: cask.tareKg,
      giai: null,
      aliases: [`${cask.cooperMark}-${String(world.serials.cask)}`],
      earlierFillings: cask.earlierFillings,
      positionId: slot.id,
    });
    return bought;
  });
}

/** An emptied cask goes back to the yard, to be filled again or, worn out, to be retired. */
export function toYard(world: World, cask: DemoCask): void {
  if (cask.made.earlierFillings + cask.fillingsBefore >= FILLINGS_A_CASK_STANDS) {
    retire(world, cask, 'Worn out: staves thin, chime cracked');
    return;
  }
  const slot = freeSlot(world.zone(YARD.code));
  place(cask, slot);
  world.act('cask.move', { caskId: cask.id, positionId: slot.id });
  world.empties.push(cask);
}

export function retire(world: World, cask: DemoCask, reason: string): void {
  world.act('cask.retire', { caskId: cask.id, reason });
  leave(cask);
}
