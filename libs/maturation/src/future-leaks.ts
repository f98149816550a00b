import type { FilterModel } from './filter-model.ts';
import type { LeakAtom } from './spread.ts';

const ONSETS = [0.1, 0.3, 0.5, 0.7, 0.9] as const;
const RATES = [-1.4, -0.47, 0.47, 1.4] as const;
const RATE_SHARE = [0.16, 0.34, 0.34, 0.16] as const;

/**
 * Litres that leaks beginning after the latest evidence may have cost `years` later: onset even over
 * the time, rate log-normal. The first atom is "none".
 */
export function futureLeaks(model: FilterModel, capacityLitres: number, years: number): LeakAtom[] {
  const chance = 1 - Math.exp(-model.leaksPerYear * Math.max(0, years));
  const atoms: LeakAtom[] = [{ chance: 1 - chance, lost: 0, spread: 0 }];
  if (chance < 1e-6) return [{ chance: 1, lost: 0, spread: 0 }];
  const scale = (capacityLitres / 200) ** 0.4 * model.leakLitresPerYear;
  for (const onset of ONSETS) {
    RATES.forEach((x, i) => {
      const lost = Math.min(
        scale * Math.exp(x * model.leakLnSd) * years * (1 - onset),
        capacityLitres,
      );
      atoms.push({
        chance: (chance * RATE_SHARE[i]!) / ONSETS.length,
        lost,
        spread: 0.35 * lost,
      });
    });
  }
  return atoms;
}
