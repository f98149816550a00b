import type { ActKind, BodyOf, Problem } from '@rundlet/contracts';
import { useCallback, useMemo, useRef, useState } from 'react';
import type { Attached } from './attached.ts';
import { fieldErrors, type FieldErrors } from '../kit/problem.ts';
import { errorWords } from '../kit/states.tsx';
import { doAct, makeAct, type ActDone } from './act.ts';

export interface ActState<K extends ActKind> {
  kind: K;
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
  /** Files that go with the act; they are let go once it is done. */
  attached: readonly Attached[];
  attach: (one: Attached) => void;
  detach: (sha256: string) => void;
}

/**
 * One form's act. Pressing the button again after a lost answer sends the same act with the same id, so it cannot
 * be booked twice; a changed form makes a new act.
 */
export function useAct<K extends ActKind>(kind: K): ActState<K> {
  const [busy, setBusy] = useState(false);
  const [done, setDone] = useState<ActDone | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [attached, setAttached] = useState<readonly Attached[]>([]);
  const unanswered = useRef<{ body: string; id: string; happenedAt: string } | null>(null);

  const run = useCallback<ActState<K>['run']>(
    async (fields, words, options = {}) => {
      const attachments = attached.map((one) => one.attachment);
      const body = attachments.length > 0 ? { ...fields, attachments } : fields;
      const text = JSON.stringify(body);
      const again = unanswered.current?.body === text ? unanswered.current : null;
      const act = await makeAct(kind, body, again ?? options);
      unanswered.current = { body: text, id: act.id, happenedAt: act.happenedAt };
      setBusy(true);
      setProblem(null);
      try {
        const result = await doAct(
          act,
          words,
          attached.map(({ attachment, blob }) => ({ sha256: attachment.sha256, bytes: blob })),
        );
        unanswered.current = null;
        setDone(result);
        if (result.status === 'refused') setProblem(result.problem);
        else setAttached([]);
        return result;
      } catch (error) {
        const { title, detail } = errorWords(error);
        setProblem({ type: 'about:blank', title, detail, status: 0 });
        return null;
      } finally {
        setBusy(false);
      }
    },
    [kind, attached],
  );
  const reset = useCallback(() => {
    setDone(null);
    setProblem(null);
  }, []);
  const errors = useMemo(() => fieldErrors(problem), [problem]);
  const attach = useCallback((one: Attached) => {
    setAttached((now) => [...now.filter((other) => !isSame(other, one)), one]);
  }, []);
  const detach = useCallback((sha256: string) => {
    setAttached((now) => now.filter(({ attachment }) => attachment.sha256 !== sha256));
  }, []);
  return { kind, attached, attach, detach, run, busy, done, errors, problem, reset };
}

const isSame = (a: Attached, b: Attached): boolean => a.attachment.sha256 === b.attachment.sha256;
