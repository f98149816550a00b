import type { Cask, Stocktake, StocktakeLine } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import type { TrackedStore, Unmarked } from '../journal/tracked-store.ts';
import { requireNew } from './checks.ts';
import { drawSample } from '../stocktake/draw.ts';
import {
  assessed,
  covers,
  lineId,
  needsResolution,
  newLine,
  noteStanding,
  unexpectedLine,
} from '../stocktake/lines.ts';
import { handler, type FoldContext } from './handler.ts';
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

interface Opened {
  readonly population: number;
  readonly expected: readonly { caskId: string; code: string; positionId: string }[];
}

export const stocktakeActs = {
  'stocktake.open': handler<'stocktake.open', Opened>({
    async decide({ body }, { state }) {
      const { scope } = body;
      await state.need('store', scope.storeId, '/body/scope/storeId');
      for (const [i, zoneId] of scope.zoneIds.entries())
        await state.need('zone', zoneId, `/body/scope/zoneIds/${String(i)}`);
      for (const [i, accountId] of (scope.accountIds ?? []).entries())
        await state.need('account', accountId, `/body/scope/accountIds/${String(i)}`);
      await requireNew(state, 'stocktake', body.id, body.code);
      const standing = (await state.records.casksInScope(scope)).filter(
        (cask) => cask.positionId !== null,
      );
      const owned = scope.accountIds ? await ownedBy(state, standing, scope.accountIds) : standing;
      const { sample } = scope;
      const drawn = sample ? drawSample(owned, sample.casks, sample.seed) : owned;
      return {
        population: owned.length,
        expected: drawn.map(({ id, code, positionId }) => ({
          caskId: id,
          code,
          positionId: positionId as string,
        })),
      };
    },
    async fold({ body }, { expected, population }, { state, at, actorId }) {
      await state.put('stocktake', {
        id: body.id,
        code: body.code,
        title: body.title,
        scope: body.scope,
        blind: body.blind,
        status: 'open',
        openedAt: at,
        openedBy: actorId,
        population,
        reconciledBy: null,
        signedBy: null,
        signedAt: null,
        statement: null,
      });
      // The lines are the sheet; the entry itself is about the stock-take, so they aren't named as subjects one by one.
      for (const { caskId, code, positionId } of expected)
        await state.put('stocktake-line', newLine(body.id, caskId, code, positionId));
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
      const cask = caskId ? await state.need('cask', caskId) : null;
      state.mention('stocktake', body.stocktakeId);
      if (cask) state.mention('cask', cask.id);
      const known = await state.get('stocktake-line', lineId(body.stocktakeId, caskId ?? code));
      const line = known ?? (await lineFor(state, body.stocktakeId, cask, code));
      const again = line.recountAskedAt !== null && at >= line.recountAskedAt;
      const counted = {
        ...line,
        ...(body.positionId && isLater(at, body.positionId, line)
          ? { foundPositionId: body.positionId, foundAt: at }
          : {}),
        timesCounted: line.timesCounted + (again ? 0 : 1),
        recounts: line.recounts + (again ? 1 : 0),
        counters: [...new Set([...line.counters, actorId])].sort(),
        firstCountedAt: line.firstCountedAt && line.firstCountedAt < at ? line.firstCountedAt : at,
        damagedLabel: line.damagedLabel || body.damagedLabel,
      };
      // A count that shows something else than what was settled opens the line again.
      const anew = assessed({ ...counted, resolution: null });
      await state.put('stocktake-line', anew.state === line.state ? counted : anew);
    },
  }),

  'stocktake.recount': handler<'stocktake.recount', { lineIds: readonly string[] }>({
    async decide({ body }, { state }) {
      await requireOpen(state, body.stocktakeId);
      const lines = await state.records.stocktakeLines(body.stocktakeId);
      const known = new Map(lines.map((line) => [line.id, line]));
      for (const [i, id] of body.lineIds.entries())
        if (!known.has(id))
          throw new DomainError(
            'record-not-found',
            'That line belongs to another stock-take, or to none.',
            { lineId: id },
            `/body/lineIds/${String(i)}`,
          );
      const lineIds =
        body.lineIds.length > 0
          ? body.lineIds
          : lines.filter(needsResolution).map((line) => line.id);
      if (lineIds.length === 0)
        throw new DomainError('nothing-to-do', 'There is no difference to count again.');
      return { lineIds };
    },
    async fold({ body }, { lineIds }, { state, at }) {
      state.mention('stocktake', body.stocktakeId);
      for (const id of lineIds) {
        const line = await state.need('stocktake-line', id);
        await state.put('stocktake-line', { ...line, recountAskedAt: at });
      }
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
        if (resolution.resolution === 'take-out-of-place') requireMissing(line, i);
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
        if (resolution.resolution === 'take-out-of-place' && line.caskId)
          await losePlace(context, await state.need('cask', line.caskId));
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
        statement: body.statement,
      });
    },
  }),

  'stocktake.abandon': handler<'stocktake.abandon', object>({
    async decide({ body }, { state }) {
      await requireOpen(state, body.stocktakeId);
      return {};
    },
    async fold({ body }, _, { state }) {
      const stocktake = await state.need('stocktake', body.stocktakeId);
      await state.put('stocktake', { ...stocktake, status: 'abandoned', statement: body.reason });
    },
  }),
};

async function ownedBy(
  state: TrackedStore,
  casks: readonly Cask[],
  accountIds: readonly string[],
): Promise<Cask[]> {
  const owned: Cask[] = [];
  for (const cask of casks) {
    const filling = cask.fillingId ? await state.need('filling', cask.fillingId) : null;
    if (filling && accountIds.includes(filling.accountId)) owned.push(cask);
  }
  return owned;
}

async function lineFor(
  state: TrackedStore,
  stocktakeId: string,
  cask: Cask | null,
  code: string,
): Promise<Unmarked<'stocktake-line'>> {
  if (!cask) return newLine(stocktakeId, null, code, null);
  const stocktake = await state.need('stocktake', stocktakeId);
  const position = cask.positionId ? await state.need('position', cask.positionId) : null;
  return unexpectedLine(stocktakeId, cask, position !== null && covers(stocktake, position));
}

/** Of two counts that name a place the later one holds; of two at the same instant, either order gives the same. */
const isLater = (
  at: string,
  positionId: string,
  line: Pick<StocktakeLine, 'foundAt' | 'foundPositionId'>,
): boolean =>
  line.foundAt === null ||
  at > line.foundAt ||
  (at === line.foundAt && positionId > (line.foundPositionId ?? ''));

function requireMissing(line: StocktakeLine, i: number): void {
  if (line.caskId && (line.state === 'expected' || line.state === 'missing')) return;
  throw new DomainError(
    'nothing-to-do',
    `${line.code} is not missing, so it keeps its place.`,
    {},
    `/body/resolutions/${String(i)}/resolution`,
  );
}

/** The cask stands nowhere by the book from now on; what it holds stays in its account. */
async function losePlace({ state, at }: FoldContext, cask: Cask): Promise<void> {
  if (!cask.positionId) return;
  await leavePosition(state, cask.positionId);
  await noteStanding(state, cask.id, at, null);
  await state.put('cask', { ...cask, positionId: null, positionSince: at });
}
