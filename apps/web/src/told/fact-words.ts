import type { BottlingFact } from '@rundlet/statements';

export const FACT_WORDS: Record<BottlingFact, string> = {
  plots: 'Plots',
  varieties: 'What grew there',
  harvests: 'Harvests',
  'still-runs': 'Distillation runs',
  'cask-kinds': 'Casks',
  years: 'Years in oak',
  'store-climate': 'Air of the stores',
  ways: 'What went into what',
};

/** Facts by their names, as a list in a sentence. */
export const factsIn = (facts: readonly string[]): string =>
  facts.map((fact) => FACT_WORDS[fact as BottlingFact].toLowerCase()).join(', ');
