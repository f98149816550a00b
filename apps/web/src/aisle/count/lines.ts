import { api, type StocktakeLineView } from '@rundlet/contracts';
import { client } from '../../data/client.ts';

type State = 'expected' | 'found' | 'misplaced' | 'missing' | 'unknown' | 'twice' | 'damaged';

/** All lines of a stock-take in a state, page by page. */
export async function allLines(id: string, state: State): Promise<StocktakeLineView[]> {
  const lines: StocktakeLineView[] = [];
  let after: string | undefined;
  do {
    const page = await client.call(api.stocktakes.lines, {
      params: { id },
      query: { state, limit: 500, ...(after === undefined ? {} : { after }) },
    });
    lines.push(...page.rows);
    after = page.next ?? undefined;
  } while (after !== undefined);
  return lines;
}
