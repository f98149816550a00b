import { SETTING_VALUES } from '@rundlet/contracts';
import { requireOpenTerms } from '../account/terms.ts';
import { DomainError } from '../errors.ts';
import { requireCaskCode } from './checks.ts';
import { handler } from './handler.ts';

/** Id of the first print of a thing's label: by it the next is known for another. */
const firstPrint = (kind: string, id: string): string => `${kind}:${id}`;

/** Acts that record something beside the liquid: climate files, label prints, label templates, printers, settings. */
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
      for (const [i, { kind, id }] of body.subjects.entries()) {
        const { code } = await state.need(kind, id, `/body/subjects/${String(i)}/id`);
        if (body.reason === null && (await state.get('label-print', firstPrint(kind, id))) !== null)
          throw new DomainError(
            'reason-needed',
            `${code} had a label before. Say why it gets another.`,
            { code },
            '/body/reason',
          );
      }
      return {};
    },
    async fold({ body }, _, { state, entryId, at }) {
      for (const [i, { kind, id }] of body.subjects.entries()) {
        state.mention(kind, id);
        const first = firstPrint(kind, id);
        await state.put('label-print', {
          id: (await state.get('label-print', first)) === null ? first : `${entryId}:${String(i)}`,
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

  'spare-label.print': handler<'spare-label.print', object>({
    async decide({ body }, { state }) {
      for (const [i, code] of body.codes.entries()) {
        const pointer = `/body/codes/${String(i)}`;
        requireCaskCode(code, pointer);
        const taken =
          (await state.records.idByUnique('cask', 'code', code)) ??
          (await state.records.idByUnique('cask', 'alias', code)) ??
          (await state.records.idByUnique('spare-label', 'code', code));
        if (taken !== null || body.codes.indexOf(code) !== i)
          throw new DomainError(
            'code-taken',
            `${code} stands on another label already. Ask for the next free codes again.`,
            { code },
            pointer,
          );
      }
      return {};
    },
    async fold({ body }, _, { state, entryId, at }) {
      for (const [i, code] of body.codes.entries())
        await state.put('spare-label', {
          id: `${entryId}:${String(i)}`,
          code,
          templateId: body.templateId,
          at,
        });
    },
  }),

  'label-template.save': handler<'label-template.save', object>({
    async decide({ body }, { state }) {
      const known = await state.get('label-template', body.id);
      if (body.template === null && (known?.template ?? null) === null)
        throw new DomainError(
          'nothing-to-do',
          `The site has no label template ${body.id} of its own.`,
          { id: body.id },
          '/body/id',
        );
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('label-template', body),
  }),

  'printer.save': handler<'printer.save', object>({
    async decide() {
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('printer', body),
  }),

  'setting.set': handler<'setting.set', object>({
    async decide({ body }, { state }) {
      await requireOpenTerms(state, body);
      const wrong = SETTING_VALUES[body.key]?.safeParse(body.value).error?.issues[0];
      if (wrong)
        throw new DomainError(
          'setting-wrong',
          wrong.message,
          { key: body.key },
          `/body/value${wrong.path.map((step) => `/${String(step)}`).join('')}`,
        );
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
