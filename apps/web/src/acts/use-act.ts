import type { ActKind, BodyOf, Problem } from '@rundlet/contracts';
import { useCallback, useMemo, useRef, useState } from 'react';
import { fieldErrors, type FieldErrors } from '../kit/problem.ts';
import { errorWords } from '../kit/states.tsx';
import { doAct, makeAct, type ActDone } from './act.ts';

export interface ActState<K extends ActKind> {
  /** Does the act. Resolves to what came of it; null when it could not be sent and may not wait. */
  run: (
    body: BodyOf<K>,
    words: string,
    options?: { happenedAt?: string },
  ) => Promise<ActDone | null>;
  busy: boolean;
  /** What the last run came to. */
  done: ActDone | null;
  /** Messages of a refusal by field: `errors.at('/readings/wetDipMm')`. */
  errors: FieldErrors;
  problem: Problem | null;
  reset: () => void;
}

/**
 * One form's act. Pressing the button again after a lost answer sends the same act with the same id, so it cannot
 * be booked twice; a changed form makes a new act.
 */
export function useAct<K extends ActKind>(kind: K): ActState<K> {
  const [busy, setBusy] = useState(false);
  const [done, setDone] = useState<ActDone | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const unanswered = useRef<{ body: string; id: string; happenedAt: string } | null>(null);

  const run = useCallback<ActState<K>['run']>(
    async (body, words, options = {}) => {
      const text = JSON.stringify(body);
      const again = unanswered.current?.body === text ? unanswered.current : null;
      const act = await makeAct(kind, body, again ?? options);
      unanswered.current = { body: text, id: act.id, happenedAt: act.happenedAt };
      setBusy(true);
      setProblem(null);
      try {
        const result = await doAct(act, words);
        unanswered.current = null;
        setDone(result);
        if (result.status === 'refused') setProblem(result.problem);
        return result;
      } catch (error) {
        const { title, detail } = errorWords(error);
        setProblem({ type: 'about:blank', title, detail, status: 0 });
        return null;
      } finally {
        setBusy(false);
      }
    },
    [kind],
  );
  const reset = useCallback(() => {
    setDone(null);
    setProblem(null);
  }, []);
  const errors = useMemo(() => fieldErrors(problem), [problem]);
  return { run, busy, done, errors, problem, reset };
}
