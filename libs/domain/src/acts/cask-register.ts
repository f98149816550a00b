import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';
import { requireCaskCode, requireNew } from './checks.ts';
import { handler } from './handler.ts';
import { requireRoom, standAt } from './standing.ts';

export const caskRegisterActs = {
  'cask.register': handler<'cask.register', object>({
    async decide({ body }, { state }) {
      requireCaskCode(body.code);
      await requireNew(state, 'cask', body.id, body.code);
      for (const alias of body.aliases) await requireFreeAlias(state, alias);
      if (body.positionId) await requireRoom(state, body.positionId, null);
      return {};
    },
    async fold({ body }, _, { state, at }) {
      const { positionId, ...facts } = body;
      const cask = {
        ...facts,
        fillingsHere: 0,
        status: 'empty' as const,
        condition: 'sound' as const,
        storeId: null,
        zoneId: null,
        positionId: null,
        positionSince: null,
        fillingId: null,
      };
      await state.put('cask', {
        ...cask,
        ...(positionId ? await standAt(state, positionId, at) : {}),
      });
    },
  }),
};

async function requireFreeAlias(state: TrackedStore, alias: string): Promise<void> {
  const holder = await state.records.idByUnique('cask', 'alias', alias);
  if (holder)
    throw new DomainError(
      'alias-taken',
      `Another cask already answers to ${alias}.`,
      { alias, caskId: holder },
      '/body/aliases',
    );
}
