import type { BottlingRun, Filling, SpiritLot, StillRun } from '@rundlet/contracts';
import { castOf, type Shares } from '@rundlet/domain';
import {
  WAYS_STEPS,
  type BottlingFact,
  type BottlingStory,
  type WaysStep,
} from '@rundlet/statements';

/** The chain of records behind some spirit lots. */
export interface Behind {
  readonly lots: ReadonlyMap<string, Pick<SpiritLot, 'inputs'>>;
  readonly stillRuns: ReadonlyMap<string, Pick<StillRun, 'still' | 'ranOn'>>;
  /** Of each still run, by harvest. */
  readonly harvestShares: ReadonlyMap<string, Shares>;
  readonly plotOfHarvest: ReadonlyMap<string, string>;
}

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

type CaskOfRun = Pick<Filling, 'lotShares' | 'caskKind' | 'woodSpecies' | 'previousContents'>;

/** The bottle's ethanol, taken apart by lot, the chain behind it, and the casks that brought it. */
export function portionsOf(
  run: Pick<BottlingRun, 'lotShares' | 'fillings'>,
  fillings: ReadonlyMap<string, CaskOfRun>,
  { lots, stillRuns, harvestShares, plotOfHarvest }: Behind,
): Portion[] {
  const cast = castOf(run, fillings);
  const casksOf = (lotId: string): { kind: string | null; part: number }[] => {
    const all = cast[lotId] ?? 0;
    // What the vat held beside what its casks brought leads through none.
    if (all === 0) return [{ kind: null, part: 1 }];
    return run.fillings.flatMap(({ fillingId, ethanolShare }) => {
      const filling = fillings.get(fillingId);
      const brought = ethanolShare * (filling?.lotShares[lotId] ?? 0);
      return filling && brought > 0 ? [{ kind: kindOf(filling), part: brought / all }] : [];
    });
  };
  return Object.entries(run.lotShares).flatMap(([lotId, ofLot]) =>
    casksOf(lotId).flatMap(({ kind, part }) =>
      (lots.get(lotId)?.inputs ?? []).flatMap(({ stillRunId, share: ofRun }) =>
        Object.entries(harvestShares.get(stillRunId) ?? {}).map(([harvestId, ofHarvest]) => ({
          share: ofLot * part * ofRun * ofHarvest,
          through: {
            plots: plotOfHarvest.get(harvestId) ?? null,
            harvests: harvestId,
            'still-runs': nameOfRun(stillRuns.get(stillRunId)) ?? stillRunId,
            'cask-kinds': kind,
          },
        })),
      ),
    ),
  );
}

export const nameOfRun = (run: Pick<StillRun, 'still' | 'ranOn'> | undefined): string | undefined =>
  run && `${run.still}, ${run.ranOn}`;

export const kindOf = (cask: {
  caskKind: string;
  woodSpecies: string;
  previousContents: string;
}): string =>
  `${cask.caskKind}, ${cask.woodSpecies}, ${cask.previousContents === 'none' ? 'new' : `before it ${cask.previousContents}`}`;
