import type { RecordOf, StepFacts, StepKind } from '@rundlet/contracts';
import { canonicalJson } from '@rundlet/statements';
import { DomainError } from '../errors.ts';
import {
  requireFits,
  STEP_CHECKS,
  type LotShares,
  type SharesOfLot,
} from '../lineage/step-checks.ts';
import { label, requireNew } from './checks.ts';
import { handler } from './handler.ts';

interface Corrected {
  /** The code it went by until then. */
  readonly code: string;
  readonly changes: readonly {
    readonly fact: string;
    readonly from: unknown;
    readonly to: unknown;
  }[];
  /** Facts that a correction made later had set right already. */
  readonly late: readonly string[];
  /** All of it as it stands now. */
  readonly facts: StepFacts;
  /** Spirit lots whose shares are others now. */
  readonly lots: readonly SharesOfLot[];
}

export const lineageActs = {
  'plot.record': handler<'plot.record', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'plot', body.id, body.code);
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('plot', { ...body, corrected: {} }),
  }),

  'harvest.record': handler<'harvest.record', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'harvest-lot', body.id, body.code);
      return STEP_CHECKS['harvest-lot'](body, state, '/body');
    },
    async fold({ body }, _, { state }) {
      state.mention('plot', body.plotId);
      await state.put('harvest-lot', { ...body, corrected: {} });
    },
  }),

  'ferment.record': handler<'ferment.record', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'ferment', body.id, body.code);
      return STEP_CHECKS.ferment(body, state, '/body');
    },
    async fold({ body }, _, { state }) {
      for (const input of body.inputs) state.mention('harvest-lot', input.harvestLotId);
      await state.put('ferment', { ...body, corrected: {} });
    },
  }),

  'still-run.record': handler<'still-run.record', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'still-run', body.id, body.code);
      return STEP_CHECKS['still-run'](body, state, '/body');
    },
    async fold({ body }, _, { state }) {
      for (const input of body.inputs) state.mention('ferment', input.fermentId);
      await state.put('still-run', { ...body, corrected: {} });
    },
  }),

  'spirit-lot.record': handler<'spirit-lot.record', LotShares>({
    async decide({ body }, { state }) {
      await requireNew(state, 'spirit-lot', body.id, body.code);
      return STEP_CHECKS['spirit-lot'](body, state, '/body');
    },
    async fold({ body }, { harvestShares, plotShares }, { state }) {
      for (const input of body.inputs) state.mention('still-run', input.stillRunId);
      await state.put('spirit-lot', {
        ...body,
        harvestShares,
        plotShares,
        receivedMg: 0,
        corrected: {},
      });
    },
  }),

  'step.correct': handler<'step.correct', Corrected>({
    async decide({ body: { kind, id, to }, happenedAt }, { state }) {
      const was = await state.need(kind, id, '/body/id');
      const told = Object.entries(to).filter(([, value]) => value !== undefined);
      const late = told.map(([fact]) => fact).filter((f) => (was.corrected[f] ?? '') > happenedAt);
      const now = was as unknown as Readonly<Record<string, unknown>>;
      const changes = told
        .map(([fact, value]) => ({ fact, from: now[fact], to: value as unknown }))
        .filter((c) => !late.includes(c.fact) && canonicalJson(c.from) !== canonicalJson(c.to));
      if (changes.length === 0 && late.length === 0)
        throw new DomainError(
          'nothing-to-do',
          `That is what is recorded of ${label(kind)} ${was.code} already.`,
          { kind, id },
          '/body/to',
        );
      const record = {
        ...was,
        ...Object.fromEntries(changes.map((c) => [c.fact, c.to])),
      } as RecordOf<StepKind>;
      return {
        code: was.code,
        changes,
        late,
        facts: factsOf(record),
        lots: changes.length === 0 ? [] : await requireFits(kind, record, state, '/body/to'),
      };
    },
    async fold({ body: { kind, id } }, { changes, facts, lots }, { state, at }) {
      state.mention(kind, id);
      if (changes.length === 0) return;
      const was = await state.need(kind, id);
      await state.put(kind, {
        ...was,
        ...facts,
        corrected: { ...was.corrected, ...Object.fromEntries(changes.map((c) => [c.fact, at])) },
      });
      await state.shareAnew(lots);
    },
  }),
};

/** A record without what the program keeps of it. */
function factsOf(record: RecordOf<StepKind>): StepFacts {
  const facts: Partial<RecordOf<'spirit-lot'>> = { ...(record as RecordOf<'spirit-lot'>) };
  for (const kept of [
    'lastEntryId',
    'corrected',
    'harvestShares',
    'plotShares',
    'receivedMg',
  ] as const)
    delete facts[kept];
  return facts as StepFacts;
}
