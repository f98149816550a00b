import type { Ferment, HarvestLot, RecordOf, StillRun } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import { blendShares, type Shares } from '../lineage/shares.ts';
import { ethanolKgOf, mostEthanolKg } from '../lineage/yields.ts';
import { requireNew } from './checks.ts';
import { handler } from './handler.ts';

/** Weighing and gauging are not exact: a yield may exceed the possible by this much before it is refused. */
const YIELD_TOLERANCE = 1.01;

export const lineageActs = {
  'plot.record': handler<'plot.record', object>({
    async decide({ body }, { state }) {
      await requireNew(state, 'plot', body.id, body.code);
      return {};
    },
    fold: ({ body }, _, { state }) => state.put('plot', body),
  }),

  'harvest.record': handler<'harvest.record', object>({
    async decide({ body }, { state }) {
      await state.need('plot', body.plotId, '/body/plotId');
      await requireNew(state, 'harvest-lot', body.id, body.code);
      return {};
    },
    async fold({ body }, _, { state }) {
      state.mention('plot', body.plotId);
      await state.put('harvest-lot', body);
    },
  }),

  'ferment.record': handler<'ferment.record', { ethanolKg: number; mostEthanolKg: number }>({
    async decide({ body }, { state }) {
      await requireNew(state, 'ferment', body.id, body.code);
      if (body.endedOn < body.startedOn)
        throw new DomainError(
          'impossible-yield',
          `The ferment ends (${body.endedOn}) before it starts (${body.startedOn}).`,
          {},
          '/body/endedOn',
        );
      let sugarKg = 0;
      for (const [i, input] of body.inputs.entries()) {
        const harvest = await state.need(
          'harvest-lot',
          input.harvestLotId,
          `/body/inputs/${String(i)}/harvestLotId`,
        );
        const used = usedOf(await state.records.madeOf('ferment', harvest.id), (other) =>
          other.harvestLotId === harvest.id ? other.massKg : 0,
        );
        if (used + input.massKg > harvest.massKg * YIELD_TOLERANCE)
          throw new DomainError(
            'impossible-yield',
            `Harvest lot ${harvest.code} weighed ${String(harvest.massKg)} kg${used > 0 ? `, of which ${String(used)} kg went into other ferments` : ''}; ${String(input.massKg)} kg of it can't have gone into this one.`,
            { harvestMassKg: harvest.massKg, usedKg: used },
            `/body/inputs/${String(i)}/massKg`,
          );
        sugarKg += (input.massKg * harvest.sugarPercentMass) / 100;
      }
      const ethanolKg = ethanolKgOf(body.bulkLitresAt20C, body.strengthPercentVol);
      const most = mostEthanolKg(sugarKg);
      if (ethanolKg > most * YIELD_TOLERANCE)
        throw new DomainError(
          'impossible-yield',
          `${ethanolKg.toFixed(0)} kg of ethanol is more than the ${most.toFixed(0)} kg that ${sugarKg.toFixed(0)} kg of sugar can ferment to (51.1 % by mass). Check volume, strength and sugar.`,
          { ethanolKg, mostEthanolKg: most },
          '/body/strengthPercentVol',
        );
      return { ethanolKg, mostEthanolKg: most };
    },
    async fold({ body }, _, { state }) {
      for (const input of body.inputs) state.mention('harvest-lot', input.harvestLotId);
      await state.put('ferment', body);
    },
  }),

  'still-run.record': handler<'still-run.record', { ethanolInKg: number; ethanolHeartsKg: number }>(
    {
      async decide({ body }, { state }) {
        await requireNew(state, 'still-run', body.id, body.code);
        let ethanolInKg = 0;
        for (const [i, input] of body.inputs.entries()) {
          const ferment = await state.need(
            'ferment',
            input.fermentId,
            `/body/inputs/${String(i)}/fermentId`,
          );
          const used = usedOf(await state.records.madeOf('still-run', ferment.id), (other) =>
            other.fermentId === ferment.id ? other.bulkLitresAt20C : 0,
          );
          if (used + input.bulkLitresAt20C > ferment.bulkLitresAt20C * YIELD_TOLERANCE)
            throw new DomainError(
              'impossible-yield',
              `Ferment ${ferment.code} came to ${String(ferment.bulkLitresAt20C)} L${used > 0 ? `, of which ${String(used)} L went into other runs` : ''}; ${String(input.bulkLitresAt20C)} L of it can't have gone into this one.`,
              { fermentLitres: ferment.bulkLitresAt20C, usedLitres: used },
              `/body/inputs/${String(i)}/bulkLitresAt20C`,
            );
          ethanolInKg += ethanolKgOf(input.bulkLitresAt20C, ferment.strengthPercentVol);
        }
        const ethanolHeartsKg = ethanolKgOf(body.heartsLitresAt20C, body.heartsStrengthPercentVol);
        if (ethanolHeartsKg > ethanolInKg * YIELD_TOLERANCE)
          throw new DomainError(
            'impossible-yield',
            `The hearts hold ${ethanolHeartsKg.toFixed(0)} kg of ethanol; the wash held only ${ethanolInKg.toFixed(0)} kg.`,
            { ethanolHeartsKg, ethanolInKg },
            '/body/heartsStrengthPercentVol',
          );
        return { ethanolInKg, ethanolHeartsKg };
      },
      async fold({ body }, _, { state }) {
        for (const input of body.inputs) state.mention('ferment', input.fermentId);
        await state.put('still-run', body);
      },
    },
  ),

  'spirit-lot.record': handler<'spirit-lot.record', { harvestShares: Shares; plotShares: Shares }>({
    async decide({ body }, { state }) {
      await requireNew(state, 'spirit-lot', body.id, body.code);
      const sum = body.inputs.reduce((s, i) => s + i.share, 0);
      if (body.inputs.length > 0 && Math.abs(sum - 1) > 1e-6)
        throw new DomainError(
          'shares-do-not-sum',
          `The shares of the still runs must sum to 1; they sum to ${String(sum)}.`,
          { sum },
          '/body/inputs',
        );
      const parts: { weight: number; shares: Shares }[] = [];
      for (const [i, input] of body.inputs.entries()) {
        const run = await state.need(
          'still-run',
          input.stillRunId,
          `/body/inputs/${String(i)}/stillRunId`,
        );
        parts.push({ weight: input.share, shares: await harvestSharesOfRun(state, run) });
      }
      const harvestShares = blendShares(parts);
      const plots: { weight: number; shares: Shares }[] = [];
      for (const [harvestId, share] of Object.entries(harvestShares))
        plots.push({
          weight: share,
          shares: { [(await state.need('harvest-lot', harvestId)).plotId]: 1 },
        });
      return { harvestShares, plotShares: blendShares(plots) };
    },
    async fold({ body }, { harvestShares, plotShares }, { state }) {
      for (const input of body.inputs) state.mention('still-run', input.stillRunId);
      await state.put('spirit-lot', { ...body, harvestShares, plotShares });
    },
  }),
};

/** How much of one input all these records took. */
const usedOf = <I>(
  records: readonly { readonly inputs: readonly I[] }[],
  amountOf: (input: I) => number,
): number =>
  records.reduce(
    (sum, { inputs }) => sum + inputs.reduce((part, input) => part + amountOf(input), 0),
    0,
  );

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
