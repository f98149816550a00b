import type { StepKind } from '@rundlet/contracts';
import { keepPreviousData, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, client, queryKey } from '../../data/client.ts';

export interface StepChoice {
  readonly value: string;
  readonly label: string;
}
export interface StepChoices {
  /** What the list offers, and what has been chosen already even when it is not among that. */
  readonly withChosen: (id: string) => readonly StepChoice[];
  /** Whether there are others than those offered. */
  readonly more: boolean;
  readonly none: boolean;
  /** Part of a code to look for. */
  readonly find: string;
  readonly setFind: (find: string) => void;
}

/** As many as a list that drops down can hold. */
const OFFERED = 100;

export const choiceOf = (one: {
  readonly id: string;
  readonly code: string;
  readonly name: string;
  readonly detail: string;
}): StepChoice => ({
  value: one.id,
  label: [`${one.code} ${one.name}`.trim(), one.detail].filter((words) => words !== '').join(', '),
});

/** Records of one step to choose from: the newest, or those whose code has the letters looked for. */
export function useStepChoices(
  kind: StepKind | undefined,
  known: readonly StepChoice[] = [],
): StepChoices {
  const [find, setFind] = useState('');
  const [met] = useState(() => new Map(known.map((choice) => [choice.value, choice])));
  const input = { params: { kind: kind ?? 'plot' }, query: { find, limit: OFFERED } } as const;
  const { data } = useQuery({
    queryKey: queryKey(api.lineage.stepChoices, input),
    queryFn: async () => {
      const { rows, more } = await client.call(api.lineage.stepChoices, input);
      const offered = rows.map(choiceOf);
      for (const choice of offered) met.set(choice.value, choice);
      return { offered, more };
    },
    enabled: kind !== undefined,
    placeholderData: keepPreviousData,
  });
  const offered = data?.offered ?? [];
  return {
    withChosen: (id) => {
      const chosen = offered.some((choice) => choice.value === id) ? undefined : met.get(id);
      return chosen ? [chosen, ...offered] : offered;
    },
    more: data?.more ?? false,
    none: data?.offered.length === 0,
    find,
    setFind,
  };
}
