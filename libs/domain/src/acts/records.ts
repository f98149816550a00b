import { DomainError } from '../errors.ts';
import { handler } from './handler.ts';

/** Acts that record something beside the liquid: climate files, label prints, settings. */
export const recordActs = {
  'climate.import': handler<'climate.import', object>({
    async decide({ body }, { state }) {
      await state.need('zone', body.zoneId, '/body/zoneId');
      if (body.lastAt < body.firstAt)
        throw new DomainError(
          'reading-impossible',
          'The last reading is before the first.',
          {},
          '/body/lastAt',
        );
      return {};
    },
    async fold({ body }, _, { state, entryId }) {
      state.mention('zone', body.zoneId);
      await state.put('climate-import', { id: entryId, ...body });
    },
  }),

  'label.print': handler<'label.print', object>({
    async decide({ body }, { state }) {
      for (const [i, { kind, id }] of body.subjects.entries())
        await state.need(kind, id, `/body/subjects/${String(i)}/id`);
      return {};
    },
    async fold({ body }, _, { state, entryId, at }) {
      for (const [i, { kind, id }] of body.subjects.entries()) {
        state.mention(kind, id);
        await state.put('label-print', {
          id: `${entryId}:${String(i)}`,
          subjectKind: kind,
          subjectId: id,
          templateId: body.templateId,
          reason: body.reason,
          copies: body.copies,
          at,
        });
      }
    },
  }),

  'setting.set': handler<'setting.set', object>({
    async decide() {
      return {};
    },
    fold: ({ body }, _, { state }) =>
      state.put('setting', {
        id: `${body.key}@${body.effectiveFrom}`,
        value: body.value,
        effectiveFrom: body.effectiveFrom,
      }),
  }),
};
