import type { BlendProblem } from './problem.ts';

/** How far the target's windows are moved, and how many times as wide they are made. */
export interface WindowMove {
  readonly litres?: number;
  readonly percentVol?: number;
  readonly width?: number;
}

/** The same blend with its windows moved, or made so many times as wide; kept above nothing and at most 100 % vol. */
export function withMovedWindows(
  problem: BlendProblem,
  { litres = 0, percentVol = 0, width = 1 }: WindowMove,
): BlendProblem {
  const window = (low: number, high: number, by: number): [number, number] => {
    const half = ((high - low) / 2) * width;
    const middle = (low + high) / 2 + by;
    return [middle - half, middle + half];
  };
  return {
    ...problem,
    wishes: problem.wishes.map((wish) => {
      if (wish.kind === 'volume') {
        const [low, high] = window(wish.lowLitresAt20C, wish.highLitresAt20C, litres);
        return {
          ...wish,
          lowLitresAt20C: Math.max(1e-3, low),
          highLitresAt20C: high,
          ...(wish.targetLitresAt20C !== undefined && {
            targetLitresAt20C: wish.targetLitresAt20C + litres,
          }),
        };
      }
      if (wish.kind === 'strength') {
        const [low, high] = window(wish.lowPercentVol, wish.highPercentVol, percentVol);
        return {
          ...wish,
          lowPercentVol: Math.max(0.01, low),
          highPercentVol: Math.min(100, high),
          ...(wish.targetPercentVol !== undefined && {
            targetPercentVol: wish.targetPercentVol + percentVol,
          }),
        };
      }
      return wish;
    }),
  };
}
