import { canonicalJson } from '@rundlet/statements';
import type {
  Ferment,
  HarvestLot,
  RecordOf,
  SpiritLot,
  StepFacts,
  StepKind,
  StillRun,
} from '@rundlet/contracts';
import { label, requireFreeCode } from '../acts/checks.ts';
import { DomainError } from '../errors.ts';
import { StagedRecords } from '../journal/staged-records.ts';
import { TrackedStore } from '../journal/tracked-store.ts';
import { litresPureAlcoholOfMg } from '../liquid/content.ts';
import { blendShares, type Shares } from './shares.ts';
import { ethanolKgOf, mostEthanolKg, RECEIPT_TOLERANCE, YIELD_TOLERANCE } from './yields.ts';

const MG_PER_KG = 1e6;

/** Whose ethanol a spirit lot is, by harvest and by plot. */
export interface LotShares {
  readonly harvestShares: Shares;
  readonly plotShares: Shares;
}

type Check<K extends StepKind> = (
  facts: StepFacts<K>,
  state: TrackedStore,
  pointer: string,
) => Promise<object>;

/**
 * What each step of the chain must fulfil against the steps it was made of, refused at `pointer` and below. The same whether
 * it is recorded or corrected, or one of those it was made of is; answers with what the check worked out.
 */
export const STEP_CHECKS = {
  plot: async () => ({}),

  async 'harvest-lot'({ plotId }, state, pointer) {
    await state.need('plot', plotId, `${pointer}/plotId`);
    return {};
  },

  async ferment(ferment, state, pointer) {
    if (ferment.endedOn < ferment.startedOn)
      throw new DomainError(
        'impossible-yield',
        `The ferment ends (${ferment.endedOn}) before it starts (${ferment.startedOn}).`,
        {},
        `${pointer}/endedOn`,
      );
    let sugarKg = 0;
    for (const [i, input] of ferment.inputs.entries()) {
      const at = `${pointer}/inputs/${String(i)}`;
      const harvest = await state.need('harvest-lot', input.harvestLotId, `${at}/harvestLotId`);
      const used = usedOf(await state.records.madeOf('ferment', harvest.id), ferment.id, (other) =>
        other.harvestLotId === harvest.id ? other.massKg : 0,
      );
      if (used + input.massKg > harvest.massKg * YIELD_TOLERANCE)
        throw new DomainError(
          'impossible-yield',
          `Harvest lot ${harvest.code} weighed ${String(harvest.massKg)} kg${used > 0 ? `, of which ${String(used)} kg went into other ferments` : ''}; ${String(input.massKg)} kg of it can't have gone into ferment ${ferment.code}.`,
          { harvestMassKg: harvest.massKg, usedKg: used },
          `${at}/massKg`,
        );
      sugarKg += (input.massKg * harvest.sugarPercentMass) / 100;
    }
    const ethanolKg = ethanolKgOf(ferment.bulkLitresAt20C, ferment.strengthPercentVol);
    const most = mostEthanolKg(sugarKg);
    if (ethanolKg > most * YIELD_TOLERANCE)
      throw new DomainError(
        'impossible-yield',
        `${ethanolKg.toFixed(0)} kg of ethanol is more than the ${most.toFixed(0)} kg that ${sugarKg.toFixed(0)} kg of sugar can ferment to (51.1 % by mass). Check volume, strength and sugar.`,
        { ethanolKg, mostEthanolKg: most },
        `${pointer}/strengthPercentVol`,
      );
    return { ethanolKg, mostEthanolKg: most };
  },

  async 'still-run'(run, state, pointer) {
    let ethanolInKg = 0;
    for (const [i, input] of run.inputs.entries()) {
      const at = `${pointer}/inputs/${String(i)}`;
      const ferment = await state.need('ferment', input.fermentId, `${at}/fermentId`);
      const used = usedOf(await state.records.madeOf('still-run', ferment.id), run.id, (other) =>
        other.fermentId === ferment.id ? other.bulkLitresAt20C : 0,
      );
      if (used + input.bulkLitresAt20C > ferment.bulkLitresAt20C * YIELD_TOLERANCE)
        throw new DomainError(
          'impossible-yield',
          `Ferment ${ferment.code} came to ${String(ferment.bulkLitresAt20C)} L${used > 0 ? `, of which ${String(used)} L went into other runs` : ''}; ${String(input.bulkLitresAt20C)} L of it can't have gone into run ${run.code}.`,
          { fermentLitres: ferment.bulkLitresAt20C, usedLitres: used },
          `${at}/bulkLitresAt20C`,
        );
      ethanolInKg += ethanolKgOf(input.bulkLitresAt20C, ferment.strengthPercentVol);
    }
    const ethanolHeartsKg = ethanolKgOf(run.heartsLitresAt20C, run.heartsStrengthPercentVol);
    if (ethanolHeartsKg > ethanolInKg * YIELD_TOLERANCE)
      throw new DomainError(
        'impossible-yield',
        `The hearts hold ${ethanolHeartsKg.toFixed(0)} kg of ethanol; the wash held only ${ethanolInKg.toFixed(0)} kg.`,
        { ethanolHeartsKg, ethanolInKg },
        `${pointer}/heartsStrengthPercentVol`,
      );
    return { ethanolInKg, ethanolHeartsKg };
  },

  async 'spirit-lot'(lot, state, pointer) {
    const sum = lot.inputs.reduce((s, i) => s + i.share, 0);
    if (lot.inputs.length > 0 && Math.abs(sum - 1) > 1e-6)
      throw new DomainError(
        'shares-do-not-sum',
        `The shares of the still runs must sum to 1; they sum to ${String(sum)}.`,
        { sum },
        `${pointer}/inputs`,
      );
    for (const [i, input] of lot.inputs.entries())
      await state.need('still-run', input.stillRunId, `${pointer}/inputs/${String(i)}/stillRunId`);
    const { receivedMg = 0 } = (await state.get('spirit-lot', lot.id)) ?? {};
    await requireReceivable(lot, receivedMg, state, `${pointer}/inputs`);
    return sharesOf(lot, state);
  },
} satisfies { readonly [K in StepKind]: Check<K> };

/** Check one step, whichever it is. */
export const checkStep = (
  kind: StepKind,
  facts: StepFacts,
  state: TrackedStore,
  pointer: string,
): Promise<object> => (STEP_CHECKS[kind] as Check<StepKind>)(facts, state, pointer);

/**
 * No run can have given more ethanol to the lots made of it than its hearts held.
 * @throws DomainError `impossible-yield`
 */
export async function requireReceivable(
  lot: StepFacts<'spirit-lot'>,
  receivedMg: number,
  state: TrackedStore,
  pointer: string,
): Promise<void> {
  if (receivedMg === 0) return;
  for (const { stillRunId, share } of lot.inputs) {
    const run = await state.need('still-run', stillRunId);
    const heartsMg = heartsMgOf(run);
    const others = (await state.records.madeOf('spirit-lot', run.id)).filter(
      (other) => other.id !== lot.id,
    );
    const otherMg = others.reduce((mg, other) => mg + receivedOf(other, run.id), 0);
    if (otherMg + receivedMg * share <= heartsMg * RECEIPT_TOLERANCE) continue;
    const lpa = (mg: number) => `${litresPureAlcoholOfMg(mg).toFixed(1)} LPA`;
    throw new DomainError(
      'impossible-yield',
      `The hearts of run ${run.code} held ${lpa(heartsMg)}${otherMg > 0 ? `, of which ${lpa(otherMg)} were received as ${others.map((other) => other.code).join(', ')}` : ''}; ${lpa(receivedMg * share)} of it can't have been received as spirit lot ${lot.code}. Check the reading, the run and the lot's shares.`,
      { stillRunId: run.id, heartsMg, otherMg, receivedMg: Math.round(receivedMg * share) },
      pointer,
    );
  }
}

/** Ethanol received as a lot that one run brought. */
export const receivedOf = (lot: SpiritLot, stillRunId: string): number =>
  lot.inputs.reduce(
    (mg, input) => (input.stillRunId === stillRunId ? mg + lot.receivedMg * input.share : mg),
    0,
  );
export const heartsMgOf = (run: StepFacts<'still-run'>): number =>
  ethanolKgOf(run.heartsLitresAt20C, run.heartsStrengthPercentVol) * MG_PER_KG;

/** The step that is made of each; a spirit lot becomes liquid in a vat. */
export const NEXT_STEP = {
  plot: 'harvest-lot',
  'harvest-lot': 'ferment',
  ferment: 'still-run',
  'still-run': 'spirit-lot',
  'spirit-lot': null,
} as const satisfies Record<StepKind, StepKind | null>;

/** A spirit lot and what its shares come to. */
export type SharesOfLot = { readonly id: string } & LotShares;

/**
 * Whether a step can be other than it is: by itself, and by what was made of it. Answers with what the shares of the spirit
 * lots after it then come to, those that change.
 * @throws DomainError with what stands in the way
 */
export async function requireFits(
  kind: StepKind,
  record: RecordOf<StepKind>,
  state: TrackedStore,
  pointer: string,
): Promise<SharesOfLot[]> {
  const { id, code } = record;
  if (code !== (await state.need(kind, id)).code)
    await requireFreeCode(state, kind, code, `${pointer}/code`);
  const staged = new StagedRecords(state.records);
  staged.put(kind, record);
  const trial = new TrackedStore(staged, '');
  await checkStep(kind, record, trial, pointer);
  // Nothing of a plot is counted.
  return kind === 'plot' ? [] : consequences(kind, id, trial, pointer);
}

async function consequences(
  kind: StepKind,
  id: string,
  trial: TrackedStore,
  pointer: string,
): Promise<SharesOfLot[]> {
  const next = NEXT_STEP[kind];
  for (const made of next === null ? [] : await trial.records.madeOf(next, id))
    try {
      await checkStep(next as StepKind, made, trial, pointer);
    } catch (error) {
      if (!(error instanceof DomainError)) throw error;
      throw new DomainError(
        error.code,
        `The ${label(next as StepKind)} ${made.code}, which was made of it, stands in the way: ${error.message}`,
        { ...error.details, kind: next, id: made.id },
        pointer,
      );
    }
  const changed: SharesOfLot[] = [];
  for (const lot of await lotsAfter(kind, id, trial)) {
    const shares = await sharesOf(lot, trial);
    const { harvestShares, plotShares } = lot;
    if (canonicalJson(shares) !== canonicalJson({ harvestShares, plotShares }))
      changed.push({ id: lot.id, ...shares });
  }
  return changed;
}

/** Spirit lots that have some of a step in them. */
async function lotsAfter(kind: StepKind, id: string, state: TrackedStore): Promise<SpiritLot[]> {
  let found: readonly RecordOf<StepKind>[] = [await state.need(kind, id)];
  for (let next = NEXT_STEP[kind]; next !== null; next = NEXT_STEP[next]) {
    const made = new Map<string, RecordOf<StepKind>>();
    for (const { id: inputId } of found)
      for (const record of await state.records.madeOf(next, inputId)) made.set(record.id, record);
    found = [...made.values()];
  }
  return found as SpiritLot[];
}

/** How much of one input all these records took, but for one that is looked at anew. */
const usedOf = <I>(
  records: readonly { readonly id: string; readonly inputs: readonly I[] }[],
  exceptId: string,
  amountOf: (input: I) => number,
): number =>
  records.reduce(
    (sum, { id, inputs }) =>
      id === exceptId ? sum : sum + inputs.reduce((part, input) => part + amountOf(input), 0),
    0,
  );

async function sharesOf(lot: StepFacts<'spirit-lot'>, state: TrackedStore): Promise<LotShares> {
  const parts: { weight: number; shares: Shares }[] = [];
  for (const { stillRunId, share } of lot.inputs)
    parts.push({
      weight: share,
      shares: await harvestSharesOfRun(state, await state.need('still-run', stillRunId)),
    });
  const harvestShares = blendShares(parts);
  const plots: { weight: number; shares: Shares }[] = [];
  for (const [harvestId, share] of Object.entries(harvestShares))
    plots.push({
      weight: share,
      shares: { [(await state.need('harvest-lot', harvestId)).plotId]: 1 },
    });
  return { harvestShares, plotShares: blendShares(plots) };
}

/** Where the steps before are looked up. */
export interface StepsBefore {
  need<K extends 'ferment' | 'harvest-lot'>(kind: K, id: string): Promise<RecordOf<K>>;
}

/** A run's ethanol by harvest: its ferments by the ethanol they brought, each ferment's harvests by the sugar they brought. */
export async function harvestSharesOfRun(state: StepsBefore, run: StillRun): Promise<Shares> {
  const parts: { weight: number; shares: Shares }[] = [];
  for (const input of run.inputs) {
    const ferment = await state.need('ferment', input.fermentId);
    parts.push({
      weight: ethanolKgOf(input.bulkLitresAt20C, ferment.strengthPercentVol),
      shares: await harvestSharesOfFerment(state, ferment),
    });
  }
  return blendShares(parts);
}

async function harvestSharesOfFerment(state: StepsBefore, ferment: Ferment): Promise<Shares> {
  const harvests: { harvest: HarvestLot; massKg: number }[] = [];
  for (const input of ferment.inputs)
    harvests.push({
      harvest: await state.need('harvest-lot', input.harvestLotId),
      massKg: input.massKg,
    });
  const sugar = harvests.some(({ harvest }) => harvest.sugarPercentMass > 0);
  // Where no sugar was measured, mass is the best that is known.
  return blendShares(
    harvests.map(({ harvest, massKg }) => ({
      weight: sugar ? massKg * harvest.sugarPercentMass : massKg,
      shares: { [harvest.id]: 1 },
    })),
  );
}
