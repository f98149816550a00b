/** Where the strips of the chain's picture lie: steps under each other, each as wide as its share of the alcohol. */
import type { BottlingStatement, WaysStep } from '@rundlet/statements';
import { WAYS_STEPS } from '@rundlet/statements';

export const WIDTH = 360;
const BAR = 26;
/** From one step's bar to the next step's title. */
const GAP = 34;
const TITLE = 18;

export interface Strip {
  readonly name: string;
  readonly share: number;
  readonly x: number;
  readonly width: number;
}
export interface Step {
  readonly fact: WaysStep | 'bottle';
  readonly top: number;
  readonly strips: readonly Strip[];
  readonly withheld: boolean;
}
/** A band from a strip down to another, of one width. */
export interface Band {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
  readonly width: number;
}

type Told = BottlingStatement['told'];

export function chainLayout(
  told: Told,
  withheld: readonly string[],
): { steps: readonly Step[]; bands: readonly Band[]; height: number } {
  const facts = WAYS_STEPS.filter((fact) => told[fact] !== undefined || withheld.includes(fact));
  const steps: Step[] = [...facts, 'bottle' as const].map((fact, i) => ({
    fact,
    top: TITLE + i * (BAR + GAP + TITLE),
    strips: stripsOf(fact === 'bottle' ? [{ name: '', share: 1 }] : (told[fact] ?? [])),
    withheld: fact !== 'bottle' && told[fact] === undefined,
  }));
  const bands: Band[] = [];
  const stepOf = (fact: string) => steps.find((step) => step.fact === fact);
  for (const { from, to, flows } of told.ways ?? []) {
    const [above, below] = [stepOf(from), stepOf(to)];
    if (above && below) bands.push(...bandsOf(above, below, flows));
  }
  const bottle = steps.at(-1);
  const last = steps.findLast((step) => step !== bottle && step.strips.length > 0);
  if (bottle && last)
    for (const { x, width } of last.strips)
      bands.push({ x0: x, x1: x, width, y0: last.top + BAR, y1: bottle.top });
  return { steps, bands, height: (bottle?.top ?? 0) + BAR };
}

export const barHeight = BAR;

function stripsOf(shares: readonly { name: string; share: number }[]): Strip[] {
  let x = 0;
  return shares.map(({ name, share }) => {
    const strip = { name, share, x, width: share * WIDTH };
    x += strip.width;
    return strip;
  });
}

/** Flows leave and arrive side by side, in the order of the strips, so that bands of one pair cross as little as they can. */
function bandsOf(
  above: Step,
  below: Step,
  flows: readonly (readonly [number, number, number])[],
): Band[] {
  const left = above.strips.map(({ x }) => x);
  const reached = below.strips.map(({ x }) => x);
  return [...flows]
    .sort((a, b) => a[0] - b[0] || a[1] - b[1])
    .flatMap(([from, to, share]) => {
      const [x0, x1] = [left[from], reached[to]];
      if (x0 === undefined || x1 === undefined) return [];
      const width = share * WIDTH;
      left[from] = x0 + width;
      reached[to] = x1 + width;
      return [{ x0, x1, width, y0: above.top + BAR, y1: below.top }];
    });
}
