/**
 * Several QR codes in one picture. The library takes the three finder patterns that match best in the whole picture, and mixes those
 * of different codes; so the patterns are found here, put together in threes, and each three is shown to it alone.
 */
import type { Point } from './code.ts';
import type { Luminance } from './picture.ts';

/** A picture in black and white. */
export interface Marks {
  get(x: number, y: number): boolean;
  getWidth(): number;
  getHeight(): number;
}

interface Finder extends Point {
  readonly modulePx: number;
}

export interface QrWindow {
  /** What lies in the symbol and its nearest surroundings; all else is white. */
  readonly picture: Luminance;
  readonly left: number;
  readonly top: number;
}

/** Modules between the centres of two finder patterns: 14 in the smallest symbol, 170 in the largest, less what tilt takes. */
const LEAST_APART = 11;
const MOST_APART = 180;
const MOST_FINDERS = 60;
const MOST_TRIES = 80;

/** Windows to try, likeliest first: near patterns before far ones, since those of neighbours lie farther apart. Empty for one code or none. */
export function* qrWindows(picture: Luminance, marks: Marks): Generator<QrWindow, void, boolean> {
  const finders = findFinders(marks);
  if (finders.length <= 3 || finders.length > MOST_FINDERS) return;
  const taken = new Set<Finder>();
  for (const corners of triplesOf(finders).slice(0, MOST_TRIES)) {
    if (corners.some((finder) => taken.has(finder))) continue;
    const wasRead = yield windowOf(picture, corners);
    if (wasRead) for (const finder of corners) taken.add(finder);
  }
}

/** Along every second row: dark, light, dark, light, dark as 1 : 1 : 3 : 1 : 1, and the same downwards through its middle. */
function findFinders(marks: Marks): Finder[] {
  const [width, height] = [marks.getWidth(), marks.getHeight()];
  const seen: { x: number; y: number; modulePx: number; times: number }[] = [];
  const runs: number[] = [];
  for (let y = 0; y < height; y += 2) {
    runs.length = 0;
    let dark = false;
    let run = 0;
    for (let x = 0; x <= width; x++) {
      const isDark = x < width && marks.get(x, y);
      if (isDark === dark && x < width) {
        run++;
        continue;
      }
      runs.push(run);
      // Runs begin with a light one, so a pattern ends where their number is even.
      if (dark && runs.length % 2 === 0 && runs.length >= 6) {
        const last = runs.slice(-5);
        if (isFinder(last)) note(seen, marks, x, y, last);
      }
      dark = isDark;
      run = 1;
    }
  }
  return seen.filter(({ times }) => times >= 2);
}

function note(
  seen: { x: number; y: number; modulePx: number; times: number }[],
  marks: Marks,
  end: number,
  y: number,
  runs: readonly number[],
): void {
  const [, , middle = 0, fourth = 0, fifth = 0] = runs;
  const x = end - fifth - fourth - middle / 2;
  const across = sum(runs) / 7;
  const down = runsDown(marks, Math.floor(x), y);
  if (!down || !isFinder(down.runs) || Math.abs(sum(down.runs) / 7 - across) > across * 0.5) return;
  const known = seen.find(
    (one) =>
      Math.hypot(one.x - x, one.y - down.middle) < one.modulePx * 1.5 &&
      Math.abs(one.modulePx - across) < one.modulePx * 0.5,
  );
  if (known) known.times++;
  else seen.push({ x, y: down.middle, modulePx: (across + sum(down.runs) / 7) / 2, times: 1 });
}

/** The five runs up and down through a point that lies in the dark middle. */
function runsDown(
  marks: Marks,
  x: number,
  y: number,
): { runs: readonly number[]; middle: number } | undefined {
  const height = marks.getHeight();
  const walk = (step: 1 | -1): number[] => {
    const lengths = [0, 0, 0];
    let at = y + (step === 1 ? 0 : -1);
    for (const [index, wanted] of [true, false, true].entries())
      while (at >= 0 && at < height && marks.get(x, at) === wanted) {
        lengths[index] = (lengths[index] as number) + 1;
        at += step;
      }
    return lengths;
  };
  if (!marks.get(x, y)) return undefined;
  const [up, down] = [walk(-1), walk(1)];
  const [a = 0, b = 0, c = 0] = up;
  const [d = 0, e = 0, f = 0] = down;
  return { runs: [c, b, a + d, e, f], middle: y + (d - a) / 2 };
}

function isFinder(runs: readonly number[]): boolean {
  const total = sum(runs);
  if (total < 7 || runs.some((run) => run === 0)) return false;
  const module = total / 7;
  return runs.every((run, index) => {
    const modules = index === 2 ? 3 : 1;
    return Math.abs(run - modules * module) < modules * module * 0.5 + 0.5;
  });
}

const sum = (values: readonly number[]): number =>
  values.reduce((total, value) => total + value, 0);

type Triple = readonly [corner: Finder, one: Finder, other: Finder];

/** Three patterns of one size at a right angle with equal arms. */
function triplesOf(finders: readonly Finder[]): Triple[] {
  const found: { corners: Triple; worth: number }[] = [];
  for (const corner of finders)
    for (const [index, one] of finders.entries())
      for (const other of finders.slice(index + 1)) {
        if (one === corner || other === corner) continue;
        const sizes = [corner, one, other].map(({ modulePx }) => modulePx);
        const module = sum(sizes) / 3;
        if (Math.max(...sizes) > 1.5 * Math.min(...sizes)) continue;
        const [ax, ay] = [one.x - corner.x, one.y - corner.y];
        const [bx, by] = [other.x - corner.x, other.y - corner.y];
        const [a, b] = [Math.hypot(ax, ay), Math.hypot(bx, by)];
        const apart = (a + b) / 2 / module;
        const uneven = Math.abs(a - b) / Math.max(a, b);
        const slant = Math.abs(ax * bx + ay * by) / (a * b);
        if (apart < LEAST_APART || apart > MOST_APART || uneven > 0.3 || slant > 0.35) continue;
        found.push({ corners: [corner, one, other], worth: apart * (1 + uneven + slant) });
      }
  return found.sort((a, b) => a.worth - b.worth).map(({ corners }) => corners);
}

/** Half the pattern and two modules of the quiet zone beyond the centres: nothing of a neighbour's lies in there. */
const BEYOND = 3.5 + 2;
const BORDER_MODULES = 4;

function windowOf({ data, width, height }: Luminance, [corner, one, other]: Triple): QrWindow {
  const module = (corner.modulePx + one.modulePx + other.modulePx) / 3;
  const arms = [one, other].map(({ x, y }) => ({ x: x - corner.x, y: y - corner.y }));
  const [p, q] = arms as [Point, Point];
  const far = { x: corner.x + p.x + q.x, y: corner.y + p.y + q.y };
  const reach = BEYOND * module * Math.SQRT2 + BORDER_MODULES * module;
  const xs = [corner.x, one.x, other.x, far.x];
  const ys = [corner.y, one.y, other.y, far.y];
  const left = Math.floor(Math.min(...xs) - reach);
  const top = Math.floor(Math.min(...ys) - reach);
  const wide = Math.ceil(Math.max(...xs) + reach) - left;
  const high = Math.ceil(Math.max(...ys) + reach) - top;
  const cut = new Uint8ClampedArray(wide * high).fill(255);
  // A point is inside when its shares of the two arms lie within the symbol and a little beyond.
  const cross = p.x * q.y - p.y * q.x;
  const [overP, overQ] = arms.map(({ x, y }) => (BEYOND * module) / Math.hypot(x, y)) as [
    number,
    number,
  ];
  for (let y = Math.max(0, top); y < Math.min(height, top + high); y++)
    for (let x = Math.max(0, left); x < Math.min(width, left + wide); x++) {
      const [dx, dy] = [x - corner.x, y - corner.y];
      const alongP = (dx * q.y - dy * q.x) / cross;
      const alongQ = (p.x * dy - p.y * dx) / cross;
      if (alongP < -overP || alongP > 1 + overP || alongQ < -overQ || alongQ > 1 + overQ) continue;
      cut[(y - top) * wide + x - left] = data[y * width + x] as number;
    }
  return { picture: { data: cut, width: wide, height: high }, left, top };
}
