import { DomainError } from '../errors.ts';
import { canonicalJson } from '../journal/seal.ts';
import { EMPTY } from '../liquid/content.ts';
import { requireNew } from './checks.ts';
import { handler } from './handler.ts';

export const placeActs = {
  'store.register': handler<'store.register', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'store', body.id, body.code);
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('store', body),
  }),

  'zone.register': handler<'zone.register', object>({
    async decide({ body }, { state }) {
      await state.need('store', body.storeId, '/body/storeId');
      await requireNew(state, 'zone', body.id, body.code);
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('zone', { ...body, stow: body.stow ?? null }),
  }),

  'zone.describe': handler<'zone.describe', object>({
    async decide({ body }, { state }) {
      const { name, stow } = await state.need('zone', body.zoneId, '/body/zoneId');
      if (canonicalJson(stow) === canonicalJson(body.stow))
        throw new DomainError(
          'nothing-to-do',
          `${name} is described so already.`,
          {},
          '/body/stow',
        );
      return {};
    },
    async fold({ body }, _, { state }) {
      const zone = await state.need('zone', body.zoneId);
      await state.put('zone', { ...zone, stow: body.stow });
    },
  }),

  'position.register': handler<'position.register', { storeId: string }>({
    async decide({ body }, { state }) {
      const zone = await state.need('zone', body.zoneId, '/body/zoneId');
      const seen = new Set<string>();
      for (const [i, position] of body.positions.entries()) {
        await requireNew(
          state,
          'position',
          position.id,
          position.code,
          `/body/positions/${String(i)}`,
        );
        if (seen.has(position.code))
          throw new DomainError(
            'code-taken',
            `Position ${position.code} is in the list twice.`,
            { code: position.code },
            `/body/positions/${String(i)}/code`,
          );
        seen.add(position.code);
      }
      return { storeId: zone.storeId };
    },
    async fold({ body }, { storeId }, { state }) {
      state.mention('zone', body.zoneId);
      for (const position of body.positions)
        await state.put('position', { ...position, storeId, zoneId: body.zoneId, occupied: 0 });
    },
  }),

  'account.register': handler<'account.register', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'account', body.id, body.code);
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('account', body),
  }),

  'vat.register': handler<'vat.register', object>({
    async decide({ body }, { state }) {
      await state.need('store', body.storeId, '/body/storeId');
      await state.need('account', body.accountId, '/body/accountId');
      await requireNew(state, 'vat', body.id, body.code);
      return {};
    },
    fold: ({ body }, _, { state }) =>
      state.put('vat', {
        ...body,
        dutyStatus: body.dutyStatus ?? 'suspended',
        content: EMPTY,
        figures: { bulkLitresAt20C: 0, strengthPercentVol: 0, litresPureAlcohol: 0 },
        agedDays: null,
      }),
  }),
};
