import type { BlendAttribute, BlendVocabulary } from '@rundlet/contracts';
import { api, useApi } from '../../data/client.ts';

type Values = readonly { value: string; label: string }[];
export type Vocabulary = Pick<BlendVocabulary, 'holds' | 'scores'> & {
  readonly values: Partial<Record<BlendAttribute, Values>>;
  readonly costs: BlendVocabulary['costs'] | null;
};

/** What wishes can name, as it stands in the stock; empty until it is here. */
export function useVocabulary(): Vocabulary {
  const query = useApi(api.blends.vocabulary, {}, { staleTime: 300_000 });
  return query.data ?? { values: {}, holds: [], scores: [], costs: null };
}

/** The choices of an attribute, with what is chosen already even where the stock has none of it now. */
export function choicesFor(
  vocabulary: Vocabulary,
  attribute: BlendAttribute,
  chosen: readonly string[],
): Values {
  const known = vocabulary.values[attribute] ?? [];
  const missing = chosen.filter((value) => value !== '' && !known.some((k) => k.value === value));
  return [...known, ...missing.map((value) => ({ value, label: value }))];
}
