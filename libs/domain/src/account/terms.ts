import { TERMS_SETTING } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';

/** Terms of closed months stand. @throws DomainError `month-closed` for terms that would begin in one */
export async function requireOpenTerms(
  state: TrackedStore,
  { key, effectiveFrom }: { key: string; effectiveFrom: string },
): Promise<void> {
  if (key !== TERMS_SETTING) return;
  const lock = await state.get('account-lock', 'account');
  if (lock && effectiveFrom.slice(0, 7) <= lock.through)
    throw new DomainError(
      'month-closed',
      `The account is closed through ${lock.through}; its terms stand. Choose a later day, or reverse the close first.`,
      { through: lock.through },
      '/body/effectiveFrom',
    );
}
