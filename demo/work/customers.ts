import { ACCOUNTS } from '../estate.ts';
import type { Random } from '../random.ts';
import type { DemoCask, World } from '../world.ts';

/** Some casks of some parcels are sold while they are young; they stay where they lie. */
export function sellCasks(
  world: World,
  random: Random,
  casks: readonly DemoCask[],
  filledDay: number,
): void {
  if (!random.chance(0.4)) return;
  const customer = random.pick(ACCOUNTS.filter((account) => account.kind === 'customer'));
  const day = filledDay + random.whole(20, 90);
  world.agenda.on(day, () => {
    world.workFrom(day, 14);
    for (const cask of random.sample(casks, Math.round(casks.length * random.between(0.15, 0.4)))) {
      if (cask.filling === null) continue;
      cask.filling.account = customer.code;
      world.act('cask.change-owner', { caskId: cask.id, accountId: world.account(customer.code) });
    }
  });
}
