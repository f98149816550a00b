import {
  WAYS_STEPS,
  type BottlingFact,
  type BottlingStory,
  type WaysStep,
} from '@rundlet/statements';

/** Some of the bottle's ethanol, and which part of each step it went through; null where no record says. */
export interface Portion {
  readonly share: number;
  readonly through: Readonly<Record<WaysStep, string | null>>;
}

/** A picture shows no more; and a statement has room for no more. */
const MOST_FLOWS = 200;
const DECIMALS = 1e5;

/**
 * What went into what, between each told step and the next told one.
 * @param keys the parts of each step, in the order in which the story lists them
 */
export function waysOf(
  portions: readonly Portion[],
  keys: Readonly<Record<WaysStep, readonly string[]>>,
  told: readonly BottlingFact[],
): BottlingStory['ways'] {
  const steps = WAYS_STEPS.filter((step) => told.includes(step));
  return steps.slice(1).map((to, n) => {
    const from = steps[n] as WaysStep;
    const sums = new Map<string, [number, number, number]>();
    for (const { share, through } of portions) {
      const i = keys[from].indexOf(through[from] ?? '');
      const j = keys[to].indexOf(through[to] ?? '');
      if (i < 0 || j < 0) continue;
      const key = `${String(i)} ${String(j)}`;
      sums.set(key, [i, j, (sums.get(key)?.[2] ?? 0) + share]);
    }
    const flows = [...sums.values()]
      .map(([i, j, share]): [number, number, number] => [
        i,
        j,
        Math.round(share * DECIMALS) / DECIMALS,
      ])
      .sort((a, b) => b[2] - a[2] || a[0] - b[0] || a[1] - b[1])
      .filter(([, , share]) => share > 0)
      .slice(0, MOST_FLOWS);
    return { from, to, flows };
  });
}
