import type { Cask, Stocktake, StocktakeLine } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import type { TrackedStore, Unmarked } from '../journal/tracked-store.ts';
import { requireNew } from './checks.ts';
import { handler } from './handler.ts';
import { settleAt } from './filling-record.ts';
import { leavePosition } from './standing.ts';

async function requireOpen(state: TrackedStore, id: string): Promise<Stocktake> {
  const stocktake = await state.need('stocktake', id, '/body/stocktakeId');
  if (stocktake.status === 'signed' || stocktake.status === 'abandoned')
    throw new DomainError(
      'stocktake-closed',
      `Stock-take ${stocktake.code} is ${stocktake.status}. Open a new one.`,
      { stocktakeId: id, status: stocktake.status },
      '/body/stocktakeId',
    );
  return stocktake;
}

const lineId = (stocktakeId: string, key: string) => `${stocktakeId}:${key}`;

export const stocktakeActs = {
  'stocktake.open': handler<
    'stocktake.open',
    { expected: { caskId: string; code: string; positionId: string }[] }
  >({
    async decide({ body }, { state }) {
      await state.need('store', body.scope.storeId, '/body/scope/storeId');
      for (const [i, zoneId] of body.scope.zoneIds.entries())
        await state.need('zone', zoneId, `/body/scope/zoneIds/${String(i)}`);
      await requireNew(state, 'stocktake', body.id, body.code);
      const casks = await state.records.casksInScope(body.scope);
      const expected = casks
        .filter((c) => c.positionId !== null)
        .map((c) => ({ caskId: c.id, code: c.code, positionId: c.positionId as string }));
      return { expected };
    },
    async fold({ body }, { expected }, { state, at, actorId }) {
      await state.put('stocktake', {
        id: body.id,
        code: body.code,
        title: body.title,
        scope: body.scope,
        blind: body.blind,
        status: 'open',
        openedAt: at,
        openedBy: actorId,
        reconciledBy: null,
        signedBy: null,
        signedAt: null,
      });
      // The lines are the sheet; the entry itself is about the stock-take, so they aren't named as subjects one by one.
      for (const { caskId, code, positionId } of expected)
        await state.put('stocktake-line', emptyLine(body.id, caskId, code, positionId));
    },
  }),

  'stocktake.count': handler<'stocktake.count', { caskId: string | null; code: string }>({
    async decide({ body }, { state }) {
      await requireOpen(state, body.stocktakeId);
      if (body.positionId) await state.need('position', body.positionId, '/body/positionId');
      const cask = body.caskId ? await state.need('cask', body.caskId, '/body/caskId') : null;
      return { caskId: cask?.id ?? null, code: cask?.code ?? body.scanned };
    },
    async fold({ body }, { caskId, code }, { state, at, actorId }) {
      const id = lineId(body.stocktakeId, caskId ?? code);
      const cask = caskId ? await state.need('cask', caskId) : null;
      const line =
        (await state.get('stocktake-line', id)) ?? emptyLine(body.stocktakeId, caskId, code, null);
      state.mention('stocktake', body.stocktakeId);
      if (cask) state.mention('cask', cask.id);
      const foundPositionId = body.positionId ?? line.foundPositionId;
      await state.put('stocktake-line', {
        ...line,
        foundPositionId,
        state: stateOf(cask, line.expectedPositionId, foundPositionId),
        timesCounted: line.timesCounted + 1,
        counters: [...new Set([...line.counters, actorId])].sort(),
        firstCountedAt: line.firstCountedAt && line.firstCountedAt < at ? line.firstCountedAt : at,
        damagedLabel: line.damagedLabel || body.damagedLabel,
      });
    },
  }),

  'stocktake.reconcile': handler<
    'stocktake.reconcile',
    { moves: { caskId: string; toPositionId: string }[] }
  >({
    async decide({ body }, { state }) {
      await requireOpen(state, body.stocktakeId);
      const moves: { caskId: string; toPositionId: string }[] = [];
      for (const [i, resolution] of body.resolutions.entries()) {
        const line = await state.need(
          'stocktake-line',
          resolution.lineId,
          `/body/resolutions/${String(i)}/lineId`,
        );
        if (line.stocktakeId !== body.stocktakeId)
          throw new DomainError(
            'record-not-found',
            'That line belongs to another stock-take.',
            {},
            `/body/resolutions/${String(i)}/lineId`,
          );
        if (resolution.resolution !== 'move-to-found') continue;
        if (!line.caskId || !line.foundPositionId)
          throw new DomainError(
            'nothing-to-do',
            `${line.code} was not found in a position, so it can't be moved to one.`,
            {},
            `/body/resolutions/${String(i)}/resolution`,
          );
        moves.push({ caskId: line.caskId, toPositionId: line.foundPositionId });
      }
      return { moves };
    },
    async fold({ body }, { moves }, context) {
      const { state, actorId } = context;
      const stocktake = await state.need('stocktake', body.stocktakeId);
      for (const resolution of body.resolutions) {
        const line = await state.need('stocktake-line', resolution.lineId);
        const resolved = { ...line, resolution: `${resolution.resolution}: ${resolution.reason}` };
        // What was expected and never counted is missing from now on.
        await state.put(
          'stocktake-line',
          line.state === 'expected' ? { ...resolved, state: 'missing' } : resolved,
        );
      }
      // All casks leave before any arrives, so that two that changed places don't block each other.
      const going = [];
      for (const { caskId, toPositionId } of moves) {
        const cask = await state.need('cask', caskId);
        if (cask.positionId === toPositionId) continue;
        if (cask.positionId) await leavePosition(state, cask.positionId);
        going.push({ cask, toPositionId });
      }
      for (const { cask, toPositionId } of going) await settleAt(context, cask, toPositionId);
      await state.put('stocktake', { ...stocktake, status: 'reconciled', reconciledBy: actorId });
    },
  }),

  'stocktake.sign': handler<'stocktake.sign', { lines: number }>({
    async decide({ body }, { state, actorId }) {
      const stocktake = await requireOpen(state, body.stocktakeId);
      if (
        stocktake.reconciledBy === actorId ||
        (stocktake.reconciledBy === null && stocktake.openedBy === actorId)
      )
        throw new DomainError(
          'same-person',
          'A stock-take is signed by a second person, not by the one who opened or reconciled it.',
          { reconciledBy: stocktake.reconciledBy },
          null,
        );
      const lines = await state.records.stocktakeLines(body.stocktakeId);
      const open = lines.filter(needsResolution);
      if (open.length > 0)
        throw new DomainError(
          'stocktake-unresolved',
          `${String(open.length)} lines are not settled: ${open
            .slice(0, 5)
            .map((l) => l.code)
            .join(', ')}${open.length > 5 ? ' …' : ''}. Reconcile them first.`,
          { lines: open.length },
          null,
        );
      return { lines: lines.length };
    },
    async fold({ body }, _, { state, at, actorId }) {
      const stocktake = await state.need('stocktake', body.stocktakeId);
      await state.put('stocktake', {
        ...stocktake,
        status: 'signed',
        signedBy: actorId,
        signedAt: at,
      });
    },
  }),
};

function emptyLine(
  stocktakeId: string,
  caskId: string | null,
  code: string,
  expectedPositionId: string | null,
): Unmarked<'stocktake-line'> {
  return {
    id: lineId(stocktakeId, caskId ?? code),
    stocktakeId,
    caskId,
    code,
    expectedPositionId,
    foundPositionId: null,
    state: caskId ? 'expected' : 'unknown',
    timesCounted: 0,
    counters: [],
    firstCountedAt: null,
    damagedLabel: false,
    movedDuringCount: false,
    resolution: null,
  };
}

/** Found where expected (or counted without naming a position), misplaced elsewhere, unknown when no cask answers to the code. */
function stateOf(
  cask: Cask | null,
  expectedPositionId: string | null,
  foundPositionId: string | null,
): StocktakeLine['state'] {
  if (!cask) return 'unknown';
  if (expectedPositionId === null) return 'misplaced';
  return foundPositionId === null ||
    foundPositionId === expectedPositionId ||
    foundPositionId === cask.positionId
    ? 'found'
    : 'misplaced';
}

/** A line that someone still has to say something about before the sheet is signed. */
export function needsResolution(line: Pick<StocktakeLine, 'state' | 'resolution'>): boolean {
  return line.state !== 'found' && line.resolution === null;
}
