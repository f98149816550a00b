import type { Blend, BlendPlanRecord, LiquidFigures, PlannedPart } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';
import { blendShares } from '../lineage/shares.ts';
import { lotShares, rescale } from '../liquid/content.ts';
import { gaugeReadings } from '../liquid/gauge-readings.ts';
import { requireFilled, requireNew, requireNotReserved } from './checks.ts';
import { handler } from './handler.ts';
import { differenceOf, postVat, requireKeptApart } from './vats.ts';

async function planIn(
  state: TrackedStore,
  planId: string,
  allowed: readonly BlendPlanRecord['status'][],
  todo: string,
): Promise<BlendPlanRecord> {
  const plan = await state.need('blend-plan', planId, '/body/planId');
  if (!allowed.includes(plan.status))
    throw new DomainError(
      'plan-closed',
      `Plan ${plan.code} is ${plan.status}; ${todo}.`,
      { planId, status: plan.status },
      '/body/planId',
    );
  return plan;
}

interface Completed {
  readonly figures: LiquidFigures;
  readonly more: ReturnType<typeof differenceOf>['more'];
  readonly less: ReturnType<typeof differenceOf>['less'];
  readonly ethanolDifferenceMg: number;
  readonly lotShares: Record<string, number>;
  readonly plotShares: Record<string, number>;
  readonly fillings: Blend['fillings'];
}

export const planActs = {
  'plan.save': handler<'plan.save', { parts: PlannedPart[] }>({
    async decide({ body }, { state }) {
      await requireNew(state, 'blend-plan', body.id, body.code);
      const parts: PlannedPart[] = [];
      for (const [i, part] of body.parts.entries()) {
        const filling = await state.need(
          'filling',
          part.fillingId,
          `/body/parts/${String(i)}/fillingId`,
        );
        if (filling.status === 'emptied')
          throw new DomainError(
            'cask-empty',
            `Cask ${filling.caskCode} has been emptied since; plan again.`,
            { fillingId: filling.id },
            `/body/parts/${String(i)}/fillingId`,
          );
        parts.push({ ...part, caskId: filling.caskId, caskCode: filling.caskCode });
      }
      return { parts };
    },
    async fold({ body }, { parts }, { state, at, actorId }) {
      for (const part of parts) state.mention('filling', part.fillingId);
      await state.put('blend-plan', {
        ...body,
        parts,
        status: 'saved',
        drawn: [],
        vatId: null,
        blendId: null,
        createdBy: actorId,
        createdAt: at,
      });
    },
  }),

  'plan.reserve': handler<'plan.reserve', object>({
    async decide({ body }, { state }) {
      const plan = await planIn(state, body.planId, ['saved'], 'only a saved plan can be reserved');
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      for (const part of plan.parts) {
        const filling = await state.need('filling', part.fillingId);
        if (filling.status === 'emptied')
          throw new DomainError(
            'cask-empty',
            `Cask ${filling.caskCode} has been emptied since the plan was made; plan again.`,
            { fillingId: filling.id },
          );
        if (filling.holdReason)
          throw new DomainError(
            'cask-on-hold',
            `Cask ${filling.caskCode} is on hold: ${filling.holdReason}.`,
            { fillingId: filling.id },
          );
        requireNotReserved(filling);
        requireKeptApart(filling, vat);
      }
      return {};
    },
    async fold({ body }, _, { state }) {
      const plan = await state.need('blend-plan', body.planId);
      await state.put('blend-plan', { ...plan, status: 'reserved', vatId: body.vatId });
      for (const part of plan.parts) {
        const filling = await state.need('filling', part.fillingId);
        await state.put('filling', { ...filling, reservedByPlanId: plan.id });
      }
    },
  }),

  'plan.release': handler<'plan.release', object>({
    async decide({ body }, { state }) {
      const plan = await planIn(
        state,
        body.planId,
        ['reserved'],
        'only a plan whose casks are reserved and not drawn yet can let them go',
      );
      if (plan.drawn.length > 0)
        throw new DomainError(
          'plan-closed',
          `Casks have been drawn for plan ${plan.code}. Reverse those draws first, or cancel the plan.`,
          { planId: plan.id },
          '/body/planId',
        );
      return {};
    },
    async fold({ body }, _, { state }) {
      const plan = await state.need('blend-plan', body.planId);
      await freeReserved(state, plan);
      await state.put('blend-plan', { ...plan, status: 'saved', vatId: null, out: [] });
    },
  }),

  'plan.scan-out': handler<'plan.scan-out', { fillingId: string }>({
    async decide({ body, happenedAt }, { state }) {
      const plan = await planIn(
        state,
        body.planId,
        ['reserved', 'drawing'],
        'casks are scanned out for a reserved plan',
      );
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      if (!plan.parts.some((part) => part.fillingId === filling.id))
        throw new DomainError(
          'plan-closed',
          `Cask ${cask.code} is not in plan ${plan.code}. Check the label and put it back.`,
          { planId: plan.id, caskId: cask.id },
          '/body/caskId',
        );
      const isOut = plan.out?.some(({ fillingId }) => fillingId === filling.id) ?? false;
      if (isOut === body.out)
        throw new DomainError(
          'nothing-to-do',
          `Cask ${cask.code} ${isOut ? 'is scanned out already' : 'has not been scanned out'}.`,
          { planId: plan.id, caskId: cask.id },
          '/body/caskId',
        );
      return { fillingId: filling.id };
    },
    async fold({ body }, { fillingId }, { state, at }) {
      const plan = await state.need('blend-plan', body.planId);
      state.mention('cask', body.caskId);
      state.mention('filling', fillingId);
      const others = (plan.out ?? []).filter((one) => one.fillingId !== fillingId);
      await state.put('blend-plan', {
        ...plan,
        out: body.out ? [...others, { fillingId, at }] : others,
      });
    },
  }),

  'plan.cancel': handler<'plan.cancel', object>({
    async decide({ body }, { state }) {
      await planIn(
        state,
        body.planId,
        ['saved', 'reserved', 'drawing'],
        'it can no longer be cancelled',
      );
      return {};
    },
    async fold({ body }, _, { state }) {
      const plan = await state.need('blend-plan', body.planId);
      await freeReserved(state, plan);
      await state.put('blend-plan', { ...plan, status: 'cancelled' });
    },
  }),

  'plan.complete': handler<'plan.complete', Completed>({
    async decide({ body }, { state }) {
      const plan = await planIn(state, body.planId, ['drawing'], 'draw its casks first');
      await requireNew(state, 'blend', body.blendId, body.code);
      const vat = await state.need('vat', plan.vatId ?? '');
      const gauged = gaugeReadings(body.readings, { capacityLitres: vat.capacityLitres });
      const difference = differenceOf(vat.content, gauged);
      const lots = lotShares(rescale(vat.content, gauged.ethanolMg, gauged.waterMg));
      const plots: { weight: number; shares: Record<string, number> }[] = [];
      for (const [lotId, share] of Object.entries(lots))
        plots.push({ weight: share, shares: (await state.need('spirit-lot', lotId)).plotShares });
      return {
        ...difference,
        figures: gauged.figures,
        lotShares: lots,
        plotShares: blendShares(plots),
        fillings: await drawnFillings(state, plan),
      };
    },
    async fold({ body }, o, context) {
      const { state, at } = context;
      const plan = await state.need('blend-plan', body.planId);
      const vat = await state.need('vat', plan.vatId ?? '');
      await state.changeVat(vat.id, { in: o.more, out: o.less, agedDays: vat.agedDays });
      await postVat(context, vat, 'vat-difference', o.ethanolDifferenceMg);
      await freeReserved(state, plan);
      await state.put('blend', {
        id: body.blendId,
        code: body.code,
        name: body.name,
        planId: plan.id,
        vatId: vat.id,
        madeAt: at,
        figures: o.figures,
        lotShares: o.lotShares,
        plotShares: o.plotShares,
        fillings: o.fillings,
      });
      await state.put('blend-plan', { ...plan, status: 'vatted', blendId: body.blendId });
    },
  }),
};

/** Casks still reserved for a plan that is over are free for others again. */
async function freeReserved(state: TrackedStore, plan: BlendPlanRecord): Promise<void> {
  for (const part of plan.parts) {
    const filling = await state.need('filling', part.fillingId);
    if (filling.reservedByPlanId === plan.id)
      await state.put('filling', { ...filling, reservedByPlanId: null });
  }
}

async function drawnFillings(
  state: TrackedStore,
  plan: BlendPlanRecord,
): Promise<Blend['fillings']> {
  const total = plan.drawn.reduce((sum, d) => sum + d.ethanolMg, 0);
  if (total === 0)
    throw new DomainError('plan-not-drawn', `Nothing has been drawn for plan ${plan.code} yet.`, {
      planId: plan.id,
    });
  const out: Blend['fillings'] = [];
  for (const { fillingId, ethanolMg: mg } of plan.drawn) {
    const filling = await state.need('filling', fillingId);
    out.push({
      fillingId,
      caskId: filling.caskId,
      caskCode: filling.caskCode,
      ethanolShare: mg / total,
    });
  }
  return out;
}
