import type {
  Cask,
  Content,
  Filling,
  FigureUncertainties,
  LiquidFigures,
} from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';
import { add, EMPTY, ethanolMg, figuresOf, part, rescale } from '../liquid/content.ts';
import { gaugeReadings } from '../liquid/gauge-readings.ts';
import {
  ageDays,
  requireCaskCode,
  requireFilled,
  requireNew,
  requireNotReserved,
} from './checks.ts';
import { handler, type FoldContext } from './handler.ts';
import { leavePosition, requireRoom, standAt } from './standing.ts';
import { drawFromVat, postVat, requireSameAccount, youngest } from './vats.ts';

/** A cask may hold a little more than its measured capacity says before the reading must be wrong. */
const CAPACITY_TOLERANCE = 1.03;
/** The last cask of a run may take this much more than the vat's book still holds: the two were gauged apart. */
const OVERDRAW_TOLERANCE = 0.03;

interface Filled {
  readonly taken: Content;
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly agedDays: number | null;
  readonly fillNumber: number;
  readonly differenceMg: number;
}
interface Drawn {
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly differenceMg: number;
  readonly agedDays: number;
  readonly wholeCask: boolean;
}

export const caskFillingActs = {
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

  'cask.fill': handler<'cask.fill', Filled>({
    async decide({ body }, { state }) {
      const cask = await state.need('cask', body.caskId, '/body/caskId');
      if (cask.status === 'retired')
        throw new DomainError(
          'cask-retired',
          `Cask ${cask.code} is retired.`,
          { caskId: cask.id },
          '/body/caskId',
        );
      if (cask.fillingId)
        throw new DomainError(
          'cask-already-filled',
          `Cask ${cask.code} already holds spirit. Empty it first, or scan another.`,
          { caskId: cask.id, fillingId: cask.fillingId },
          '/body/caskId',
        );
      await requireNew(state, 'filling', body.fillingId, null);
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      if (body.positionId) await requireRoom(state, body.positionId, cask.positionId);
      const gauged = gaugeReadings(body.readings, cask);
      requireFits(cask, gauged.figures.bulkLitresAt20C);
      const inVat = ethanolMg(vat.content);
      if (gauged.ethanolMg > inVat + gauged.ethanolMg * OVERDRAW_TOLERANCE || inVat === 0)
        throw new DomainError(
          'not-enough-liquid',
          `${vat.name} holds ${vat.figures.litresPureAlcohol.toFixed(1)} L of pure alcohol by the book; the cask was gauged at ${gauged.figures.litresPureAlcohol.toFixed(1)} L. Check the readings, or gauge the vat.`,
          { vatId: vat.id, inVat: vat.figures, inCask: gauged.figures },
          '/body/readings',
        );
      const taken = rescale(
        vat.content,
        Math.min(gauged.ethanolMg, inVat),
        Math.min(gauged.waterMg, vat.content.waterMg),
      );
      return {
        taken,
        content: rescale(taken, gauged.ethanolMg, gauged.waterMg),
        figures: gauged.figures,
        uncertainties: gauged.uncertainties,
        agedDays: vat.agedDays,
        fillNumber: cask.earlierFillings + cask.fillingsHere + 1,
        differenceMg: gauged.ethanolMg - ethanolMg(taken),
      };
    },
    async fold({ body }, outcome, context) {
      const { state, at } = context;
      const vat = await state.need('vat', body.vatId);
      const cask = await state.need('cask', body.caskId);
      await state.changeVat(vat.id, { out: outcome.taken });
      const standing = await takePlace(state, cask, body.positionId, at);
      const filling = newFilling(
        { ...cask, ...standing },
        body.fillingId,
        at,
        outcome,
        body.readings.method,
        vat.accountId,
        outcome.agedDays ?? 0,
        null,
      );
      await startFilling(context, { ...cask, ...standing }, filling);
      await postVat(context, vat, 'filled', -ethanolMg(outcome.taken));
      await postCask(context, filling, 'filled', ethanolMg(outcome.taken));
      await postCask(context, filling, 'filling-difference', outcome.differenceMg);
    },
  }),

  'cask.top-up': handler<
    'cask.top-up',
    { content: Content; figures: LiquidFigures; agedDays: number | null }
  >({
    async decide({ body, happenedAt }, { state }) {
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      requireFits(cask, filling.figures.bulkLitresAt20C + body.bulkLitresAt20C);
      if (body.source.kind === 'vat') {
        const vat = await state.need('vat', body.source.vatId, '/body/source/vatId');
        requireSameAccount(vat.accountId, filling.accountId);
        const content = drawFromVat(vat, body.bulkLitresAt20C);
        return { content, figures: figuresOf(content), agedDays: vat.agedDays };
      }
      if (body.source.caskId === body.caskId)
        throw new DomainError(
          'nothing-to-do',
          'A cask cannot be topped up from itself.',
          {},
          '/body/source/caskId',
        );
      const from = await requireFilled(
        state,
        body.source.caskId,
        happenedAt,
        '/body/source/caskId',
      );
      requireNotReserved(from.filling);
      requireSameAccount(from.filling.accountId, filling.accountId);
      const content = drawFromFilling(from.filling, body.bulkLitresAt20C);
      return { content, figures: figuresOf(content), agedDays: ageDays(from.filling, happenedAt) };
    },
    async fold({ body, happenedAt }, { content, figures, agedDays }, context) {
      const { state, at } = context;
      const { filling } = await requireFilled(state, body.caskId, happenedAt);
      if (body.source.kind === 'vat') {
        const vat = await state.need('vat', body.source.vatId);
        await state.changeVat(vat.id, { out: content });
        await postVat(context, vat, 'topped-up', -ethanolMg(content));
      } else {
        const from = await requireFilled(state, body.source.caskId, happenedAt);
        await putContent(context, from.filling, minus(from.filling.content, content), {});
        await noteEvent(context, from.filling, 'part-drawn', figures);
        await postCask(context, from.filling, 'topped-up', -ethanolMg(content));
      }
      // The youngest part gives the age: a top-up with younger spirit makes the cask younger.
      const age = Math.min(ageDays(filling, at), agedDays ?? 0);
      await putContent(context, filling, add(filling.content, content), {
        agedFrom: at,
        agedDaysBefore: age,
      });
      await noteEvent(context, filling, 'top-up', figures);
      await postCask(context, filling, 'topped-up', ethanolMg(content));
    },
  }),

  'cask.re-rack': handler<'cask.re-rack', Filled>({
    async decide({ body, happenedAt }, { state }) {
      const { filling } = await requireFilled(
        state,
        body.fromCaskId,
        happenedAt,
        '/body/fromCaskId',
      );
      requireNotReserved(filling);
      const to = await state.need('cask', body.toCaskId, '/body/toCaskId');
      if (to.status !== 'empty')
        throw new DomainError(
          'cask-not-empty',
          `Cask ${to.code} is not empty. Choose an empty, sound cask.`,
          { caskId: to.id },
          '/body/toCaskId',
        );
      await requireNew(state, 'filling', body.fillingId, null);
      if (body.positionId) await requireRoom(state, body.positionId, to.positionId);
      const gauged = body.readings ? gaugeReadings(body.readings, to) : null;
      const content = gauged
        ? rescale(filling.content, gauged.ethanolMg, gauged.waterMg)
        : filling.content;
      const figures = gauged?.figures ?? filling.figures;
      requireFits(to, figures.bulkLitresAt20C);
      return {
        taken: filling.content,
        content,
        figures,
        uncertainties: gauged?.uncertainties ?? filling.fillUncertainties,
        agedDays: ageDays(filling, happenedAt),
        fillNumber: to.earlierFillings + to.fillingsHere + 1,
        differenceMg: ethanolMg(content) - ethanolMg(filling.content),
      };
    },
    async fold({ body, happenedAt }, outcome, context) {
      const { state, at } = context;
      const from = await requireFilled(state, body.fromCaskId, happenedAt);
      const to = await state.need('cask', body.toCaskId);
      await endFilling(context, from.cask, from.filling);
      const standing = await takePlace(state, to, body.positionId, at);
      const filling = newFilling(
        { ...to, ...standing },
        body.fillingId,
        at,
        outcome,
        body.readings?.method ?? 'declared',
        from.filling.accountId,
        outcome.agedDays ?? 0,
        from.filling.id,
      );
      await startFilling(context, { ...to, ...standing }, filling);
      await postCask(context, from.filling, 're-racked', -ethanolMg(outcome.taken));
      await postCask(context, filling, 're-racked', ethanolMg(outcome.taken));
      await postCask(context, filling, 'gauge-difference', outcome.differenceMg);
    },
  }),

  'cask.disgorge': handler<'cask.disgorge', Drawn>({
    async decide({ body, happenedAt }, { state }) {
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      const vat = await state.need('vat', body.vatId, '/body/vatId');
      requireSameAccount(filling.accountId, vat.accountId);
      if (filling.holdReason)
        throw new DomainError(
          'cask-on-hold',
          `Cask ${cask.code} is on hold: ${filling.holdReason}.`,
          { caskId: cask.id },
          '/body/caskId',
        );
      if (body.planId) {
        const plan = await state.need('blend-plan', body.planId, '/body/planId');
        if (plan.status !== 'reserved' && plan.status !== 'drawing')
          throw new DomainError(
            'plan-closed',
            `Plan ${plan.code} is ${plan.status}; reserve it before drawing casks for it.`,
            { planId: plan.id, status: plan.status },
            '/body/planId',
          );
        if (!plan.parts.some((p) => p.fillingId === filling.id))
          throw new DomainError(
            'plan-closed',
            `Cask ${cask.code} is not in plan ${plan.code}. Check the label; nothing has been drawn.`,
            { planId: plan.id, caskId: cask.id },
            '/body/caskId',
          );
      }
      requireNotReserved(filling, body.planId);
      const gauged = body.readings ? gaugeReadings(body.readings, cask) : null;
      const book = gauged
        ? rescale(filling.content, gauged.ethanolMg, gauged.waterMg)
        : filling.content;
      const whole = body.bulkLitresAt20C === null;
      const content = whole
        ? book
        : drawFromFilling(
            { ...filling, content: book, figures: figuresOf(book) },
            body.bulkLitresAt20C ?? 0,
          );
      return {
        content,
        figures: figuresOf(content),
        differenceMg: ethanolMg(book) - ethanolMg(filling.content),
        agedDays: ageDays(filling, happenedAt),
        wholeCask: whole,
      };
    },
    async fold({ body, happenedAt }, outcome, context) {
      const { state } = context;
      const { cask, filling } = await requireFilled(state, body.caskId, happenedAt);
      const vat = await state.need('vat', body.vatId);
      await state.changeVat(vat.id, {
        in: outcome.content,
        agedDays: youngest(vat, outcome.agedDays),
      });
      await postCask(context, filling, 'gauge-difference', outcome.differenceMg);
      await postCask(context, filling, 'disgorged', -ethanolMg(outcome.content));
      await postVat(context, vat, 'disgorged', ethanolMg(outcome.content));
      if (outcome.wholeCask) await endFilling(context, cask, filling);
      else {
        const book = bookAfterGauge(filling.content, outcome);
        await putContent(context, filling, minus(book, outcome.content), {});
        await noteEvent(context, filling, 'part-drawn', outcome.figures);
      }
      if (body.planId)
        await state.changeDrawn(body.planId, {
          fillingId: filling.id,
          ethanolMg: ethanolMg(outcome.content),
        });
    },
  }),
};

/** A part draw with a gauge first: the book the gauge made, with the water the drawn part says. */
function bookAfterGauge(content: Content, outcome: Drawn): Content {
  if (outcome.differenceMg === 0) return content;
  const ethanol = ethanolMg(content) + outcome.differenceMg;
  const perMg = outcome.content.waterMg / ethanolMg(outcome.content);
  return rescale(content, ethanol, Math.round(ethanol * perMg));
}

function minus(a: Content, b: Content): Content {
  const left = {
    waterMg: Math.max(0, a.waterMg - b.waterMg),
    ethanolMgByLot: { ...a.ethanolMgByLot },
  };
  for (const [lot, mg] of Object.entries(b.ethanolMgByLot))
    left.ethanolMgByLot[lot] = Math.max(0, (left.ethanolMgByLot[lot] ?? 0) - mg);
  return add(left, EMPTY);
}

export function drawFromFilling(filling: Filling, bulkLitresAt20C: number): Content {
  const holds = filling.figures.bulkLitresAt20C;
  if (bulkLitresAt20C > holds)
    throw new DomainError(
      'not-enough-liquid',
      `Cask ${filling.caskCode} holds ${holds.toFixed(1)} L by the book; ${bulkLitresAt20C.toFixed(1)} L can't be drawn.`,
      { fillingId: filling.id, bulkLitresAt20C: holds },
      '/body/bulkLitresAt20C',
    );
  return part(filling.content, bulkLitresAt20C / holds).taken;
}

function requireFits(cask: Cask, litres: number): void {
  const capacity = cask.capacityLitres ?? cask.cooperage.nominalLitres * 1.1;
  if (litres > capacity * CAPACITY_TOLERANCE)
    throw new DomainError(
      'overfilled',
      `Cask ${cask.code} holds about ${capacity.toFixed(0)} L; ${litres.toFixed(1)} L can't be in it. Check the reading and its unit.`,
      { caskId: cask.id, capacityLitres: capacity, bulkLitresAt20C: litres },
      '/body/readings',
    );
}

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

/** The cask's place after the act, keeping the old one when none is named. */
async function takePlace(
  state: TrackedStore,
  cask: Cask,
  positionId: string | null,
  at: string,
): Promise<Partial<Cask>> {
  if (!positionId || positionId === cask.positionId) return {};
  if (cask.positionId) await leavePosition(state, cask.positionId);
  return standAt(state, positionId, at);
}

interface FillingFacts {
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly fillNumber: number;
}
function newFilling(
  cask: Cask,
  id: string,
  at: string,
  o: FillingFacts,
  method: string,
  accountId: string,
  agedDaysBefore: number,
  parentFillingId: string | null,
): Omit<Filling, 'lastEntryId'> {
  return {
    id,
    code: `${cask.code}-${String(o.fillNumber)}`,
    caskId: cask.id,
    caskCode: cask.code,
    fillNumber: o.fillNumber,
    accountId,
    storeId: cask.storeId,
    zoneId: cask.zoneId,
    caskKind: cask.cooperage.kind,
    woodSpecies: cask.cooperage.woodSpecies,
    previousContents: cask.cooperage.previousContents,
    nominalLitres: cask.cooperage.nominalLitres,
    filledAt: at,
    agedFrom: at,
    agedDaysBefore,
    parentFillingId,
    fillMethod: method,
    fillFigures: o.figures,
    fillUncertainties: o.uncertainties,
    content: o.content,
    figures: figuresOf(o.content),
    lastGaugedAt: at,
    gaugeCount: 0,
    status: 'maturing',
    emptiedAt: null,
    holdReason: null,
    reservedByPlanId: null,
    suspicion: 'none',
  };
}

async function startFilling(
  context: FoldContext,
  cask: Cask,
  filling: Omit<Filling, 'lastEntryId'>,
): Promise<void> {
  await context.state.put('filling', filling);
  await context.state.put('cask', {
    ...cask,
    status: 'filled',
    fillingId: filling.id,
    fillingsHere: cask.fillingsHere + 1,
  });
  await noteEvent(context, filling, 'filled', filling.figures);
}

/** The cask keeps its history and its place; the filling is closed with nothing in it. */
export async function endFilling(
  context: FoldContext,
  cask: Cask,
  filling: Filling,
): Promise<void> {
  await noteEvent(context, filling, 'emptied', filling.figures);
  await context.state.put('filling', {
    ...filling,
    content: EMPTY,
    figures: figuresOf(EMPTY),
    status: 'emptied',
    emptiedAt: context.at,
    reservedByPlanId: null,
    suspicion: 'none',
  });
  await context.state.put('cask', { ...cask, status: 'empty', fillingId: null });
}

export async function putContent(
  context: FoldContext,
  filling: Filling,
  content: Content,
  more: Partial<Filling>,
): Promise<void> {
  await context.state.put('filling', { ...filling, content, figures: figuresOf(content), ...more });
}

export async function noteEvent(
  context: FoldContext,
  filling: Pick<Filling, 'id' | 'zoneId'>,
  kind:
    | 'filled'
    | 'sample'
    | 'top-up'
    | 'moved'
    | 're-racked'
    | 'leak-found'
    | 'repaired'
    | 'part-drawn'
    | 'emptied',
  figures: LiquidFigures | null,
): Promise<void> {
  await context.state.put('filling-event', {
    id: `${context.entryId}:${filling.id.slice(-12)}:${kind}`,
    fillingId: filling.id,
    at: context.at,
    kind,
    bulkLitresAt20C: figures?.bulkLitresAt20C ?? null,
    strengthPercentVol: figures?.strengthPercentVol ?? null,
    zoneId: filling.zoneId,
  });
}

/** A ledger line for a filling, in the store the cask stands in. */
export async function postCask(
  { state, at }: FoldContext,
  filling: Pick<Filling, 'id' | 'caskId' | 'accountId' | 'storeId'>,
  cause: Parameters<typeof state.post>[0]['cause'],
  mg: number,
): Promise<void> {
  await state.post({
    at,
    accountId: filling.accountId,
    storeId: filling.storeId,
    vesselKind: 'cask',
    vesselId: filling.caskId,
    fillingId: filling.id,
    cause,
    ethanolMg: mg,
  });
}
