import type { ClosedLine } from '@rundlet/contracts';
import type { RecordStore } from '../journal/ports.ts';
import { monthAfter } from './months.ts';
import { lineKey } from './sums.ts';

const BEFORE_ALL = '0000-01';

/**
 * The account's lines of a month: what each account held in each store when it began, what moved it and what was left. The
 * opening is the closing of the month before where that is closed, else the sum of everything before.
 */
export async function linesOfMonth(records: RecordStore, month: string): Promise<ClosedLine[]> {
  const before = monthAfter(month, -1);
  const closed = await records.get('month-close', before);
  const lines = new Map<string, ClosedLine>();
  const lineOf = ({ accountId, storeId }: Pick<ClosedLine, 'accountId' | 'storeId'>) => {
    const key = lineKey({ accountId, storeId });
    let line = lines.get(key);
    if (!line)
      lines.set(key, (line = { accountId, storeId, openingMg: 0, movements: [], closingMg: 0 }));
    return line;
  };
  const openings =
    closed?.lines.map((line) => ({ ...line, ethanolMg: line.closingMg })) ??
    (await records.postingSums({ from: BEFORE_ALL, to: before }));
  for (const opening of openings) {
    const line = lineOf(opening);
    line.openingMg += opening.ethanolMg;
    line.closingMg += opening.ethanolMg;
  }
  for (const { cause, ethanolMg, ofEarlierMonthsMg, ...of } of await records.postingSums({
    from: month,
    to: month,
  })) {
    const line = lineOf(of);
    line.movements.push({ cause, ethanolMg, ofEarlierMonthsMg });
    line.closingMg += ethanolMg;
  }
  return [...lines]
    .filter(([, line]) => line.openingMg !== 0 || line.movements.length > 0)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([, line]) => line);
}
