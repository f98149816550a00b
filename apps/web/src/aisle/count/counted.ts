/** What this device has counted in one stock-take; kept, so that a count can go on after days or a dead battery. */
import { useCallback, useEffect, useState } from 'react';
import { database, type CountedHere } from '../../data/database.ts';

export interface Counted {
  /** Cask id, or the text read where no cask answers to it. */
  key: string;
  code: string;
  caskId: string | null;
  positionId: string | null;
  place: string | null;
  at: string;
  /** What there is to say about it. */
  remark: 'in-place' | 'elsewhere' | 'put-right' | 'not-expected' | 'unknown' | 'plain';
}
type Kept = Counted & CountedHere;

export function useCounted(stocktakeId: string): [readonly Counted[], (counted: Counted) => void] {
  const [list, setList] = useState<readonly Counted[]>([]);
  useEffect(() => {
    void keptOf(stocktakeId).then(setList, () => undefined);
  }, [stocktakeId]);
  const add = useCallback(
    (counted: Counted) => {
      setList((before) => [counted, ...before.filter(({ key }) => key !== counted.key)]);
      const kept: Kept = { ...counted, stocktakeId, id: `${stocktakeId}:${counted.key}` };
      void database()
        .then((db) => db.put('counted', kept))
        .catch(() => undefined);
    },
    [stocktakeId],
  );
  return [list, add];
}

/** Newest first. */
async function keptOf(stocktakeId: string): Promise<readonly Counted[]> {
  const all = await (await database()).getAllFromIndex('counted', 'stocktakeId', stocktakeId);
  return (all as Kept[]).sort((a, b) => (a.at < b.at ? 1 : -1));
}
