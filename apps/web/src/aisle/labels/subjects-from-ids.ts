import { aisle } from '../../data/aisle.ts';
import type { Subject } from './label-subjects.tsx';

/** Subjects named in the page's address; codes come from what this device holds, else from the end of the id. */
export function subjectsFromIds(ids: readonly string[]): Subject[] {
  const { index } = aisle();
  return ids.map((id) => ({
    id,
    code: index?.caskById.get(id)?.code ?? index?.positionById.get(id)?.code ?? `…${id.slice(-6)}`,
  }));
}
