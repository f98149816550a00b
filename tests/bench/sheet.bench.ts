/**
 * A stock-take's sheet of 4,000 lines, one in twenty with a difference, to PDF. Prints CPU seconds of this process, so that a
 * busy machine does not count; leaves with 1 if the floor, which is half of what a browser waits for, is missed.
 */
import type { StocktakeLineView } from '@rundlet/contracts';
import { makeCaskCode } from '@rundlet/identifiers';
import { sheetPdf } from '../../apps/server/src/stocktakes/sheet-pdf.ts';

const LINES = 4000;
const LONGEST_S = 10;
const at = '2026-03-01T09:00:00.000Z';
const places = new Map(
  Array.from({ length: LINES + 1 }, (_, i) => [
    `place-${String(i)}`,
    `row ${String.fromCharCode(65 + (i % 26))}, bay ${String(1 + (i % 40))}, level ${String(1 + (i % 4))}, slot L`,
  ]),
);
const lines = Array.from({ length: LINES }, (_, i): StocktakeLineView => {
  const differs = i % 20 === 0;
  return {
    line: {
      id: `line-${String(i)}`,
      stocktakeId: 'count',
      caskId: `cask-${String(i)}`,
      code: makeCaskCode(i),
      expectedPositionId: `place-${String(i)}`,
      foundPositionId: `place-${String(differs ? i + 1 : i)}`,
      foundAt: at,
      state: differs ? 'misplaced' : 'found',
      timesCounted: 1,
      recountAskedAt: null,
      recounts: 0,
      counters: ['one'],
      firstCountedAt: at,
      damagedLabel: false,
      bookMoves: [],
      resolution: differs ? 'move-to-found: stood one slot along, moved in the book' : null,
      lastEntryId: 'entry',
    },
    expectedPositionCode: null,
    foundPositionCode: null,
    caskLine: null,
  };
});
const before = process.cpuUsage();
const pdf = await sheetPdf({
  estateName: 'Harrow Point',
  stocktake: {
    id: 'count',
    code: 'ST-26-1',
    title: 'The whole of Saltstair',
    scope: { storeId: 'store', zoneIds: [], rows: [] },
    blind: false,
    status: 'reconciled',
    openedAt: at,
    openedBy: 'one',
    population: LINES,
    reconciledBy: 'one',
    signedBy: null,
    signedAt: null,
    statement: null,
    lastEntryId: 'entry',
  },
  tally: {
    expected: LINES,
    found: LINES - LINES / 20,
    misplaced: LINES / 20,
    missing: 0,
    unknown: 0,
    twice: 0,
    damagedLabels: 0,
    stillToFind: 0,
    left: 0,
    extra: 0,
  },
  lines,
  scope: 'Saltstair',
  openedBy: 'Maren Tideway',
  reconciledBy: 'Maren Tideway',
  signedBy: null,
  counters: [{ name: 'Tamsin Arrowby', casks: LINES }],
  sampleSays: null,
  places,
  printedAt: at,
});
const { user, system } = process.cpuUsage(before);
const seconds = (user + system) / 1e6;
console.log(
  `a sheet of ${String(LINES)} lines to a PDF of ${(pdf.length / 1e6).toFixed(1)} MB: ${seconds.toFixed(2)} s CPU (floor ${String(LONGEST_S)} s)`,
);
process.exit(seconds <= LONGEST_S ? 0 : 1);
