/** What this device has counted in one stock-take; kept, so that a count can go on after days or a dead battery. */
import { useCallback, useEffect, useState } from 'react';
import { keep, kept } from '../../data/database.ts';

export interface Counted {
  /** Cask id, or the text read where no cask answers to it. */
  key: string;
  code: string;
  caskId: string | null;
  positionId: string | null;
  place: string | null;
  at: string;
  /** What there is to say about it. */
  remark: 'in-place' | 'elsewhere' | 'not-expected' | 'unknown' | 'plain';
}

export function useCounted(stocktakeId: string): [readonly Counted[], (counted: Counted) => void] {
  const name = `counted-${stocktakeId}`;
  const [list, setList] = useState<readonly Counted[]>([]);
  useEffect(() => {
    void kept<readonly Counted[]>(name).then((found) => {
      setList(found ?? []);
    });
  }, [name]);
  const add = useCallback(
    (counted: Counted) => {
      setList((before) => {
        const after = [counted, ...before.filter(({ key }) => key !== counted.key)];
        void keep(name, after);
        return after;
      });
    },
    [name],
  );
  return [list, add];
}
