/**
 * The lines of a stock-take's sheet. Counts and moves come in any order from several devices, so a line is worked out
 * from what is known of it (where it was found and when, where the book had it and when), never from what came last.
 */
import type { Cask, Stocktake, StocktakeLine } from '@rundlet/contracts';
import { instantMs } from '../acts/checks.ts';
import type { TrackedStore, Unmarked } from '../journal/tracked-store.ts';

type Line = Unmarked<'stocktake-line'>;

/** Phones' clocks differ: a count and a move this near to one another are not told apart by them. */
export const CLOCK_SLACK_MS = 5 * 60_000;

export const lineId = (stocktakeId: string, key: string) => `${stocktakeId}:${key}`;

export function newLine(
  stocktakeId: string,
  caskId: string | null,
  code: string,
  expectedPositionId: string | null,
): Line {
  return {
    id: lineId(stocktakeId, caskId ?? code),
    stocktakeId,
    caskId,
    code,
    expectedPositionId,
    foundPositionId: null,
    foundAt: null,
    state: caskId ? 'expected' : 'unknown',
    timesCounted: 0,
    recountAskedAt: null,
    recounts: 0,
    counters: [],
    firstCountedAt: null,
    damagedLabel: false,
    bookMoves: [],
    resolution: null,
  };
}

/** The line of a cask that the count did not expect; where the book has it now is all that is known of its way. */
export const unexpectedLine = (stocktakeId: string, cask: Cask, inScope: boolean): Line => ({
  ...newLine(stocktakeId, cask.id, cask.code, null),
  bookMoves:
    cask.positionId && cask.positionSince
      ? [{ at: cask.positionSince, positionId: cask.positionId, inScope }]
      : [],
});

/** The line with its state worked out. A line that has been settled keeps its state. */
export function assessed(line: Line): Line {
  return line.resolution === null ? { ...line, state: stateOf(line) } : line;
}

function stateOf(line: Line): StocktakeLine['state'] {
  if (line.caskId === null) return 'unknown';
  if (line.timesCounted + line.recounts === 0)
    return line.bookMoves.at(-1)?.inScope === false ? 'left' : 'expected';
  if (line.foundPositionId === null || line.foundAt === null)
    return line.expectedPositionId === null && line.bookMoves.length === 0 ? 'misplaced' : 'found';
  return bookPlacesAbout(line, line.foundAt).includes(line.foundPositionId) ? 'found' : 'misplaced';
}

/** Where the book has or had the cask within the slack of an instant. */
function bookPlacesAbout(line: Line, at: string): (string | null)[] {
  const time = instantMs(at);
  const stays = [
    { from: -Infinity, positionId: line.expectedPositionId },
    ...line.bookMoves.map((move) => ({ from: instantMs(move.at), positionId: move.positionId })),
  ];
  return stays
    .filter(({ from }, i) => {
      const until = stays[i + 1]?.from ?? Infinity;
      return from <= time + CLOCK_SLACK_MS && until >= time - CLOCK_SLACK_MS;
    })
    .map(({ positionId }) => positionId);
}

/** Tell the counts that are running that the book has a cask elsewhere from now on; null for nowhere. */
export async function noteStanding(
  state: TrackedStore,
  caskId: string,
  at: string,
  positionId: string | null,
): Promise<void> {
  const lines = await state.records.openStocktakeLines(caskId);
  if (lines.length === 0) return;
  const position = positionId ? await state.need('position', positionId) : null;
  for (const line of lines) {
    const stocktake = await state.need('stocktake', line.stocktakeId);
    const inScope = position !== null && covers(stocktake, position);
    const bookMoves = [...line.bookMoves, { at, positionId, inScope }].sort(byTime);
    await state.put('stocktake-line', assessed({ ...line, bookMoves }));
  }
}

const byTime = (a: { at: string; positionId: string | null }, b: typeof a): number =>
  a.at === b.at ? ((a.positionId ?? '') < (b.positionId ?? '') ? -1 : 1) : a.at < b.at ? -1 : 1;

/** Whether counts and moves still change the sheet. */
export const isRunning = (stocktake: Pick<Stocktake, 'status'> | null): boolean =>
  stocktake?.status === 'open' || stocktake?.status === 'reconciled';

/** Whether a place lies in the stores, zones and rows of a count. */
export const covers = (
  { scope }: Pick<Stocktake, 'scope'>,
  position: { storeId: string; zoneId: string; row: string },
): boolean =>
  position.storeId === scope.storeId &&
  (scope.zoneIds.length === 0 || scope.zoneIds.includes(position.zoneId)) &&
  (scope.rows.length === 0 || scope.rows.includes(position.row));

/** A line that someone still has to say something about before the sheet is signed. */
export const needsResolution = (line: Pick<StocktakeLine, 'state' | 'resolution'>): boolean =>
  line.state !== 'found' && line.state !== 'left' && line.resolution === null;
