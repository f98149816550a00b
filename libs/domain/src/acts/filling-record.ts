import type {
  Cask,
  Content,
  Filling,
  FigureUncertainties,
  LiquidFigures,
} from '@rundlet/contracts';
import { brimFullLitres } from '@rundlet/gauging';
import { DomainError } from '../errors.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';
import { EMPTY, ethanolMg, figuresOf, lotShares, part } from '../liquid/content.ts';
import { noteStanding } from '../stocktake/lines.ts';
import type { FoldContext } from './handler.ts';
import { leavePosition, standAt } from './standing.ts';

/** A cask may hold a little more than its measured capacity says before the reading must be wrong. */
const CAPACITY_TOLERANCE = 1.03;

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

export function requireFits(cask: Cask, litres: number, pointer = '/body/readings'): void {
  const capacity = brimFullLitres({ ...cask, nominalLitres: cask.cooperage.nominalLitres });
  if (litres > capacity * CAPACITY_TOLERANCE)
    throw new DomainError(
      'overfilled',
      `Cask ${cask.code} holds about ${capacity.toFixed(0)} L; ${litres.toFixed(1)} L can't be in it. Check the reading and its unit.`,
      { caskId: cask.id, capacityLitres: capacity, bulkLitresAt20C: litres },
      pointer,
    );
}

/** The cask's place after the act, keeping the old one when none is named. */
export async function takePlace(
  state: TrackedStore,
  cask: Cask,
  positionId: string | null,
  at: string,
): Promise<Partial<Cask>> {
  if (!positionId || positionId === cask.positionId) return {};
  if (cask.positionId) await leavePosition(state, cask.positionId);
  await noteStanding(state, cask.id, at, positionId);
  return standAt(state, positionId, at);
}

interface FillingFacts {
  readonly content: Content;
  readonly figures: LiquidFigures;
  readonly uncertainties: FigureUncertainties;
  readonly fillNumber: number;
}
export function newFilling(
  cask: Cask,
  id: string,
  at: string,
  o: FillingFacts,
  method: string,
  { accountId, dutyStatus }: Pick<Filling, 'accountId' | 'dutyStatus'>,
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
    lotShares: lotShares(o.content),
    figures: figuresOf(o.content),
    lastGaugedAt: at,
    gaugeCount: 0,
    status: 'maturing',
    emptiedAt: null,
    holdReason: null,
    dutyStatus,
    reservedByPlanId: null,
    suspicion: 'none',
  };
}

export async function startFilling(
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
  await context.state.put('filling', {
    ...filling,
    content,
    lotShares: lotShares(content),
    figures: figuresOf(content),
    ...more,
  });
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
  filling: Pick<Filling, 'id' | 'caskId' | 'accountId' | 'storeId' | 'dutyStatus'>,
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
    dutyStatus: filling.dutyStatus,
    ethanolMg: mg,
  });
}

/** Put a cask that has left its place into another; what it holds comes along in the books when the store changes. */
export async function settleAt(
  context: FoldContext,
  cask: Cask,
  positionId: string,
): Promise<void> {
  const { state, at } = context;
  const standing = await standAt(state, positionId, at);
  await noteStanding(state, cask.id, at, positionId);
  await state.put('cask', { ...cask, ...standing });
  if (!cask.fillingId) return;
  const filling = await state.need('filling', cask.fillingId);
  const { storeId, zoneId } = standing;
  if (filling.storeId !== storeId) {
    await postCask(context, filling, 'transferred', -ethanolMg(filling.content));
    await postCask(context, { ...filling, storeId }, 'transferred', ethanolMg(filling.content));
  }
  if (filling.storeId !== storeId || filling.zoneId !== zoneId)
    await state.put('filling', { ...filling, storeId, zoneId });
}
