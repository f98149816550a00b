import { attributeOf, rowKey, scoreOf, shareMatching, sharesByValue } from './attribute.ts';
import type { CandidateCask } from './candidate.ts';
import { HOLDS_RULE_ID } from './eligibility.ts';
import type { PlannedVat, WishOutcome } from './plan.ts';
import type { ShareBasis, Wish } from './wish.ts';
import { wishWords } from './words.ts';

/** A draw as a measuring function sees it. */
export interface MeasuredDraw {
  readonly cask: CandidateCask;
  readonly fraction: number;
  readonly bulkLitresAt20C: number;
  readonly litresPureAlcohol: number;
}

export interface MeasuredBlend {
  readonly draws: readonly MeasuredDraw[];
  readonly waterLitresAt20C: number;
  readonly vat: PlannedVat;
}

/**
 * How far outside a limit still counts as met, relative to the limit or to 1: a solver meets its rows
 * to 1e-6 of their unit, which is less than this in any vat of more than ten litres.
 */
const TOLERANCE = 1e-7;

/** What a blend makes of a wish. Reads the draws and nothing of the model. */
export function measureWish(wish: Wish, blend: MeasuredBlend): WishOutcome {
  const { figure, unit, low, high } = figureOf(wish, blend);
  const slack = Math.min(figure - low, high - figure);
  const scale = Math.max(
    1,
    Number.isFinite(low) ? Math.abs(low) : 0,
    Number.isFinite(high) ? Math.abs(high) : 0,
  );
  return {
    wishId: wish.id,
    kind: wish.kind,
    words: wishWords(wish),
    met: slack >= -TOLERANCE * scale,
    figure,
    unit,
    slack: Number.isFinite(slack) ? slack : null,
  };
}

/** The holds rule that stands when the problem has no wish about holds. */
export function measureHoldsRule(blend: MeasuredBlend): WishOutcome {
  return measureWish({ kind: 'holds', id: HOLDS_RULE_ID, admit: [] }, blend);
}

interface Figure {
  readonly figure: number;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
}

function figureOf(wish: Wish, blend: MeasuredBlend): Figure {
  const { draws } = blend;
  const limits = (low?: number, high?: number) => ({
    low: low ?? -Infinity,
    high: high ?? Infinity,
  });
  /** Casks that break a rule about single casks; none may. */
  const breaking = (breaks: (cask: CandidateCask) => boolean): Figure => ({
    figure: draws.filter(({ cask }) => breaks(cask)).length,
    unit: 'casks against it',
    ...limits(undefined, 0),
  });
  switch (wish.kind) {
    case 'volume':
      return {
        figure: blend.vat.bulkLitresAt20C,
        unit: 'L at 20 °C',
        ...limits(wish.lowLitresAt20C, wish.highLitresAt20C),
      };
    case 'strength':
      return {
        figure: blend.vat.strengthPercentVol,
        unit: '% vol',
        ...limits(wish.lowPercentVol, wish.highPercentVol),
      };
    case 'water':
      return {
        figure: blend.waterLitresAt20C,
        unit: 'L at 20 °C',
        ...limits(wish.leastLitresAt20C ?? 0, wish.mostLitresAt20C),
      };
    case 'take':
      return {
        figure: againstTake(wish, draws),
        unit: 'casks against it',
        ...limits(undefined, 0),
      };
    case 'age':
      return oneSided(
        draws.map(({ cask }) => cask.ageYears),
        'years',
        wish.leastYears,
        wish.mostYears,
      );
    case 'cask-strength':
      return oneSided(
        draws.map(({ cask }) => cask.strengthPercentVol),
        '% vol',
        wish.leastPercentVol,
        wish.mostPercentVol,
      );
    case 'mean-age':
      return {
        figure: mean(draws, 'lpa', ({ cask }) => cask.ageYears),
        unit: 'years',
        ...limits(wish.leastYears, wish.mostYears),
      };
    case 'share':
      return {
        figure: mean(draws, wish.of, ({ cask }) => shareMatching(cask, wish.attribute, wish.among)),
        unit: 'share',
        ...limits(wish.floor, wish.cap),
      };
    case 'each-share': {
      const shares = [...sharesOf(draws, wish.attribute, wish.of).values()];
      return { figure: Math.max(0, ...shares), unit: 'share', ...limits(undefined, wish.cap) };
    }
    case 'distinct':
      return distinctFigure(wish, draws);
    case 'only':
      return breaking((cask) => shareMatching(cask, wish.attribute, wish.among) < 1 - 1e-9);
    case 'none':
      return breaking((cask) => shareMatching(cask, wish.attribute, wish.among) > 1e-9);
    case 'include': {
      const drawn = new Set(draws.map(({ cask }) => cask.id));
      const missing = wish.caskIds.filter((id) => !drawn.has(id)).length;
      return { figure: missing, unit: 'casks missing', ...limits(undefined, 0) };
    }
    case 'exclude': {
      const out = new Set(wish.caskIds);
      return breaking((cask) => out.has(cask.id));
    }
    case 'differ': {
      const drawn = new Set(draws.map(({ cask }) => cask.id));
      return {
        figure: wish.caskIds.filter((id) => !drawn.has(id)).length,
        unit: 'casks left alone',
        ...limits(wish.byAtLeast),
      };
    }
    case 'holds': {
      const admitted = new Set(wish.admit);
      return breaking((cask) => (cask.holds ?? []).some((hold) => !admitted.has(hold)));
    }
    case 'score':
      return {
        figure: mean(draws, wish.of, ({ cask }) => scoreOf(cask, wish.attribute) ?? NaN),
        unit: wish.attribute,
        ...limits(wish.low, wish.high),
      };
    case 'cask-count':
      return { figure: draws.length, unit: 'casks', ...limits(wish.atLeast, wish.atMost) };
    case 'row-count':
      return {
        figure: new Set(draws.map(({ cask }) => rowKey(cask))).size,
        unit: 'rows',
        ...limits(wish.atLeast, wish.atMost),
      };
    case 'budget':
      return {
        figure: draws.reduce(
          (sum, d) => sum + d.litresPureAlcohol * d.cask.costPerLitrePureAlcohol,
          0,
        ),
        unit: 'currency',
        ...limits(undefined, wish.mostCost),
      };
  }
}

/** The figure nearest to its limit when every cask must lie in a window. */
function oneSided(values: number[], unit: string, low?: number, high?: number): Figure {
  const least = Math.min(...values);
  const most = Math.max(...values);
  const atLow = low !== undefined && (high === undefined || least - low <= high - most);
  return { figure: atLow ? least : most, unit, low: low ?? -Infinity, high: high ?? Infinity };
}

function againstTake(
  wish: Extract<Wish, { kind: 'take' }>,
  draws: readonly MeasuredDraw[],
): number {
  const slack = 1e-6;
  const parts = draws.filter(({ fraction }) => fraction < 1);
  const bad = draws.filter(({ cask, fraction, bulkLitresAt20C }) => {
    if (fraction === 1) return wish.mode === 'part' && (wish.leastHeelLitresAt20C ?? 0) > 0;
    return (
      wish.mode === 'whole' ||
      bulkLitresAt20C < (wish.leastPartLitresAt20C ?? 0) - slack ||
      cask.bulkLitresAt20C - bulkLitresAt20C < (wish.leastHeelLitresAt20C ?? 0) - slack
    );
  });
  return bad.length + Math.max(0, parts.length - (wish.mostPartCasks ?? Infinity));
}

function distinctFigure(
  wish: Extract<Wish, { kind: 'distinct' }>,
  draws: readonly MeasuredDraw[],
): Figure {
  const shares = sharesOf(draws, wish.attribute, 'lpa');
  const counted = [...shares.values()].filter(
    (share) => share >= (wish.leastShareOfLpa ?? 0) - TOLERANCE,
  ).length;
  const short = counted < (wish.atLeast ?? 0);
  return {
    // A floor counts values from their least share on, a cap counts every trace.
    figure: short || wish.atMost === undefined ? counted : shares.size,
    unit: `different by ${wish.attribute}`,
    low: short || wish.atMost === undefined ? (wish.atLeast ?? 0) : -Infinity,
    high: wish.atMost ?? Infinity,
  };
}

function basis(draw: MeasuredDraw, of: ShareBasis): number {
  return of === 'lpa' ? draw.litresPureAlcohol : draw.bulkLitresAt20C;
}

function mean(
  draws: readonly MeasuredDraw[],
  of: ShareBasis,
  value: (draw: MeasuredDraw) => number,
): number {
  let sum = 0;
  let total = 0;
  for (const draw of draws) {
    sum += basis(draw, of) * value(draw);
    total += basis(draw, of);
  }
  return total > 0 ? sum / total : 0;
}

/** Share of each value of an attribute; casks without it are in the total all the same. */
export function sharesOf(
  draws: readonly MeasuredDraw[],
  attribute: string,
  of: ShareBasis,
): Map<string, number> {
  const sums = new Map<string, number>();
  let total = 0;
  for (const draw of draws) {
    total += basis(draw, of);
    for (const [value, share] of sharesByValue(draw.cask, attribute))
      sums.set(value, (sums.get(value) ?? 0) + share * basis(draw, of));
  }
  if (total > 0) for (const [value, sum] of sums) sums.set(value, sum / total);
  return sums;
}

/** Attributes worth a table of shares: those with words or origins, not plain figures only. */
export function sharedAttributes(draws: readonly MeasuredDraw[]): string[] {
  const names = new Set<string>();
  for (const { cask } of draws)
    for (const name of Object.keys(cask.attributes))
      if (typeof attributeOf(cask, name) !== 'number') names.add(name);
  return [...names].sort();
}
