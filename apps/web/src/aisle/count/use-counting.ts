import { parseScan } from '@rundlet/identifiers';
import { useCallback, useRef, useState } from 'react';
import { doAct, makeAct } from '../../acts/act.ts';
import { useAisle } from '../../data/aisle.ts';
import { positionWords } from '../../data/aisle-index.ts';
import { resolveHere, resolveScan, type Match } from '../../data/resolve.ts';
import { signal } from '../reader/signal.ts';
import type { Counted } from './counted.ts';
import type { CountScope } from './count-scope.ts';

export interface Place {
  id: string;
  words: string;
}
export type Said = {
  tone: 'good' | 'caution' | 'bad';
  title: string;
  text: string;
  /** The misplaced cask that can be booked here and now. */
  misplaced?: Counted;
} | null;

/** What happens with each code that is read during a count. */
export function useCounting(
  scope: CountScope,
  counted: readonly Counted[],
  add: (counted: Counted) => void,
) {
  const { index } = useAisle();
  const [place, setPlace] = useState<Place | null>(null);
  const [said, setSaid] = useState<Said>(null);
  const [damaged, setDamaged] = useState(false);
  /** Text that stands for nothing known; counted only when the counter says so, since it may be half a code. */
  const [doubtful, setDoubtful] = useState<string | null>(null);
  const busy = useRef(new Set<string>());

  const count = useCallback(
    async (text: string, match: Match | null) => {
      const key = match?.id ?? text.trim();
      const before = counted.find((one) => one.key === key);
      if (before && before.positionId === (place?.id ?? null)) {
        signal('doubtful');
        setSaid({
          tone: 'caution',
          title: `${before.code} is counted already`,
          text: 'At this place, on this device. It was not counted again.',
        });
        return;
      }
      const body = {
        stocktakeId: scope.id,
        scanned: text.trim().slice(0, 200),
        caskId: match?.id ?? null,
        positionId: place?.id ?? null,
        damagedLabel: damaged,
      };
      const code = match?.code ?? text.trim();
      const act = await makeAct('stocktake.count', body);
      const done = await doAct(act, `Count ${code}${place ? ` at ${place.words}` : ''}`);
      if (done.status === 'refused') {
        signal('doubtful');
        setSaid({
          tone: 'bad',
          title: 'Not counted',
          text: done.problem.detail ?? done.problem.title,
        });
        return;
      }
      setDamaged(false);
      const remark = remarkOn(match, place, scope, index?.caskById.get(key)?.positionId ?? null);
      const now: Counted = {
        key,
        code,
        caskId: match?.id ?? null,
        positionId: place?.id ?? null,
        place: place?.words ?? null,
        at: act.happenedAt,
        remark: scope.blind ? 'plain' : remark,
      };
      add(now);
      signal(remark === 'in-place' || remark === 'plain' || scope.blind ? 'good' : 'doubtful');
      const said = sentence(code, scope.blind ? 'plain' : remark);
      setSaid(said && (now.remark === 'elsewhere' ? { ...said, misplaced: now } : said));
    },
    [scope, counted, place, damaged, add, index],
  );

  const take = useCallback(
    async (text: string) => {
      // Camera and scanner may hand over the same label twice within one look.
      if (busy.current.has(text)) return;
      busy.current.add(text);
      setDoubtful(null);
      try {
        const match = resolveHere(text) ?? (await resolveScan(text)).matches[0] ?? null;
        if (match?.kind === 'position') {
          const position = index?.positionById.get(match.id);
          setPlace({ id: match.id, words: position ? positionWords(position) : match.line });
          setSaid({ tone: 'good', title: 'You are at', text: match.line });
          signal('good');
        } else if (match && match.kind !== 'cask') {
          signal('doubtful');
          setSaid({
            tone: 'caution',
            title: `${match.code} is a ${match.kind}`,
            text: 'Only casks are counted.',
          });
        } else if (match || isWholeCode(text)) await count(text, match);
        else {
          signal('doubtful');
          setSaid(null);
          setDoubtful(text.trim());
        }
      } catch (error) {
        setSaid({
          tone: 'bad',
          title: 'Not counted',
          text: error instanceof Error ? error.message : String(error),
        });
      } finally {
        busy.current.delete(text);
      }
    },
    [count, index],
  );
  const bookHere = useCallback(
    async (misplaced: Counted) => {
      const { caskId, positionId, code } = misplaced;
      if (!caskId || !positionId) return;
      const act = await makeAct('cask.move', { caskId, positionId, stocktakeId: scope.id });
      const done = await doAct(act, `Book ${code} where it was found, ${misplaced.place ?? ''}`);
      if (done.status === 'refused') {
        const { detail, title } = done.problem;
        setSaid({ tone: 'bad', title: 'Not booked', text: detail ?? title });
        return;
      }
      add({ ...misplaced, remark: 'put-right' });
      setSaid({
        tone: 'good',
        title: `${code} is booked here`,
        text: 'The sheet keeps that it was misplaced.',
      });
    },
    [scope.id, add],
  );

  return {
    take: (text: string) => void take(text),
    bookHere: (misplaced: Counted) => void bookHere(misplaced),
    place,
    setPlace,
    said,
    damaged,
    setDamaged,
    doubtful,
    settleDoubtful: (countIt: boolean) => {
      if (countIt && doubtful !== null) void count(doubtful, null);
      setDoubtful(null);
    },
  };
}

/** One of our codes with the right check character, though of no cask known here. */
const isWholeCode = (text: string): boolean => parseScan(text).candidates.length > 0;

function remarkOn(
  match: Match | null,
  place: Place | null,
  scope: CountScope,
  bookPositionId: string | null,
): Counted['remark'] {
  if (!match) return 'unknown';
  if (!scope.held) return 'plain';
  if (!scope.expectedIds.has(match.id)) return 'not-expected';
  return place && bookPositionId !== place.id ? 'elsewhere' : 'in-place';
}

function sentence(code: string, remark: Counted['remark']): Said {
  switch (remark) {
    case 'in-place':
      return { tone: 'good', title: `${code} counted`, text: 'Where the book has it.' };
    case 'put-right':
    case 'plain':
      return { tone: 'good', title: `${code} counted`, text: '' };
    case 'elsewhere':
      return {
        tone: 'caution',
        title: `${code} counted: misplaced`,
        text: 'The book has it elsewhere.',
      };
    case 'not-expected':
      return {
        tone: 'caution',
        title: `${code} counted: not expected here`,
        text: 'The book has it outside this count.',
      };
    case 'unknown':
      return {
        tone: 'caution',
        title: `“${code}” counted as unknown`,
        text: 'No cask answers to it. Look at the wood for another number and note it.',
      };
  }
}
