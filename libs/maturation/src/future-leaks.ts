import type { FilterModel } from './filter-model.ts';
import type { LeakAtom } from './spread.ts';

const ONSETS = [0.1, 0.3, 0.5, 0.7, 0.9] as const;
const RATES = [-1.4, -0.47, 0.47, 1.4] as const;
const RATE_SHARE = [0.16, 0.34, 0.34, 0.16] as const;
/** how far what a leak cost may be off within one pair of onset and rate, relative */
const WITHIN = 0.35;
/** sizes told apart: neighbours are taken together, mean and spread kept */
const SIZES = 5;

const NONE: LeakAtom = { chance: 1, lost: 0, spread: 0 };
const sizes = new Map<number, readonly LeakAtom[]>();

/** What one leak costs in units of median rate × time, as `SIZES` sizes whose chances sum to 1. */
function sizesOf(leakLnSd: number): readonly LeakAtom[] {
  const known = sizes.get(leakLnSd);
  if (known) return known;
  const all = ONSETS.flatMap((onset) =>
    RATES.map((x, i) => ({
      chance: RATE_SHARE[i]! / ONSETS.length,
      lost: Math.exp(x * leakLnSd) * (1 - onset),
    })),
  ).sort((a, b) => a.lost - b.lost);
  const per = all.length / SIZES;
  const merged = Array.from({ length: SIZES }, (_, i): LeakAtom => {
    const group = all.slice(i * per, (i + 1) * per);
    const chance = group.reduce((sum, a) => sum + a.chance, 0);
    const lost = group.reduce((sum, a) => sum + a.chance * a.lost, 0) / chance;
    const squares = group.reduce((sum, a) => sum + a.chance * (1 + WITHIN ** 2) * a.lost ** 2, 0);
    return { chance, lost, spread: Math.sqrt(squares / chance - lost * lost) };
  });
  sizes.set(leakLnSd, merged);
  return merged;
}

/**
 * Litres that leaks beginning after the latest evidence may have cost `years` later: onset even over
 * the time, rate log-normal. The first atom is "none".
 */
export function futureLeaks(
  model: FilterModel,
  capacityLitres: number,
  years: number,
): readonly LeakAtom[] {
  const chance = 1 - Math.exp(-model.leaksPerYear * Math.max(0, years));
  if (chance < 1e-6) return [NONE];
  const scale = (capacityLitres / 200) ** 0.4 * model.leakLitresPerYear * years;
  const atoms: LeakAtom[] = [{ chance: 1 - chance, lost: 0, spread: 0 }];
  for (const size of sizesOf(model.leakLnSd)) {
    const lost = Math.min(scale * size.lost, capacityLitres);
    atoms.push({ chance: chance * size.chance, lost, spread: (lost * size.spread) / size.lost });
  }
  return atoms;
}
