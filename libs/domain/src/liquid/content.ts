import { ethanolDensity20C, volumeOfLiquid, type Liquid } from '@rundlet/alcoholometry';
import type { Content, LiquidFigures } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';

/**
 * Liquids as whole milligrams: water, and ethanol by the spirit lot it came from. Whole numbers add without
 * rounding, so whatever is moved, split and put together again comes to the same milligram. Members stand in canonical order,
 * in which millions of records are written.
 */
export const EMPTY: Content = { ethanolMgByLot: {}, waterMg: 0 };

export function ethanolMg(content: Content): number {
  let sum = 0;
  for (const lot in content.ethanolMgByLot) sum += content.ethanolMgByLot[lot] ?? 0;
  return sum;
}

export function isEmpty(content: Content): boolean {
  return content.waterMg === 0 && ethanolMg(content) === 0;
}

/** A liquid of one lot. */
export function contentOf(lotId: string, liquid: Liquid): Content {
  const ethanol = kgToMg(liquid.ethanolKg);
  return {
    waterMg: kgToMg(liquid.waterKg),
    ethanolMgByLot: ethanol > 0 ? { [lotId]: ethanol } : {},
  };
}

export function liquidOf(content: Content): Liquid {
  return { ethanolKg: ethanolMg(content) / 1e6, waterKg: content.waterMg / 1e6 };
}

/** Bulk litres and strength at 20 °C and litres of pure alcohol of a content. */
export function figuresOf(content: Content): LiquidFigures {
  const { bulkLitresAt20C, strengthPercentVol, litresPureAlcohol } = volumeOfLiquid(
    liquidOf(content),
  );
  return { bulkLitresAt20C, litresPureAlcohol, strengthPercentVol };
}

export function add(a: Content, b: Content): Content {
  const byLot = { ...a.ethanolMgByLot };
  for (const [lot, mg] of Object.entries(b.ethanolMgByLot)) byLot[lot] = (byLot[lot] ?? 0) + mg;
  return { ethanolMgByLot: tidy(byLot), waterMg: a.waterMg + b.waterMg };
}

/** `a` less `b`, or null when `b` holds more of something than `a` does. */
export function subtract(a: Content, b: Content): Content | null {
  if (b.waterMg > a.waterMg) return null;
  const byLot = { ...a.ethanolMgByLot };
  for (const [lot, mg] of Object.entries(b.ethanolMgByLot)) {
    const left = (byLot[lot] ?? 0) - mg;
    if (left < 0) return null;
    byLot[lot] = left;
  }
  return { ethanolMgByLot: tidy(byLot), waterMg: a.waterMg - b.waterMg };
}

/**
 * The same lots in the same shares, but with these masses: what a gauge makes of a book.
 * @throws DomainError `not-enough-liquid` when alcohol is found where the book has none: it would have no origin
 */
export function rescale(content: Content, ethanolTotalMg: number, waterMg: number): Content {
  if (ethanolTotalMg > 0 && ethanolMg(content) === 0)
    throw new DomainError(
      'not-enough-liquid',
      'By the book there is no alcohol here, so what was gauged has no origin. Receive the spirit first, naming its lot.',
      {},
      '/body/readings',
    );
  return { ethanolMgByLot: apportion(content.ethanolMgByLot, ethanolTotalMg), waterMg };
}

/** A part of a content by volume, 0 ≤ fraction ≤ 1, and what is left; both add up to the whole exactly. */
export function part(content: Content, fraction: number): { taken: Content; left: Content } {
  if (!(fraction >= 0 && fraction <= 1))
    throw new RangeError(`a part must be between 0 and 1 of the whole, got ${String(fraction)}`);
  if (fraction === 1) return { taken: content, left: EMPTY };
  const taken = rescale(
    content,
    Math.round(ethanolMg(content) * fraction),
    Math.round(content.waterMg * fraction),
  );
  return { taken, left: subtract(content, taken) ?? EMPTY };
}

/** Share of the ethanol by lot; the shares sum to 1, or there are none in an alcohol-free liquid. */
export function lotShares(content: Content): Record<string, number> {
  const total = ethanolMg(content);
  if (total === 0) return {};
  return Object.fromEntries(
    Object.entries(content.ethanolMgByLot).map(([lot, mg]) => [lot, mg / total]),
  );
}

/**
 * Split a whole number over weights by largest remainder, so that the parts sum to it. No part exceeds its weight as long as
 * the total doesn't exceed theirs.
 */
export function apportion(
  weights: Readonly<Record<string, number>>,
  total: number,
): Record<string, number> {
  const lots = Object.keys(weights).sort();
  const sum = lots.reduce((s, lot) => s + (weights[lot] ?? 0), 0);
  if (sum === 0 || total === 0) return {};
  const exact = lots.map((lot) => ((weights[lot] ?? 0) / sum) * total);
  const parts = exact.map(Math.floor);
  let left = total - parts.reduce((s, v) => s + v, 0);
  const byRemainder = lots
    .map((_, i) => i)
    .sort(
      (a, b) => (exact[b] ?? 0) - (parts[b] ?? 0) - ((exact[a] ?? 0) - (parts[a] ?? 0)) || a - b,
    );
  // Floating-point division may leave a milligram more or less than one round of remainders; go round again.
  for (let i = 0; left !== 0; i = (i + 1) % byRemainder.length) {
    const at = byRemainder[i] ?? 0;
    const step = Math.sign(left);
    if ((parts[at] ?? 0) + step < 0) continue;
    parts[at] = (parts[at] ?? 0) + step;
    left -= step;
  }
  return tidy(Object.fromEntries(lots.map((lot, i) => [lot, parts[i] ?? 0])));
}

/** Litres of pure alcohol at 20 °C of a signed mass of ethanol. */
export function litresPureAlcoholOfMg(mg: number): number {
  return mg / 1000 / ethanolDensity20C;
}

export function kgToMg(kg: number): number {
  return Math.round(kg * 1e6);
}

/** Lots in a fixed order and without zeros, so that equal contents are equal bytes. */
function tidy(byLot: Record<string, number>): Record<string, number> {
  return Object.fromEntries(
    Object.entries(byLot)
      .filter(([, mg]) => mg !== 0)
      .sort(([a], [b]) => (a < b ? -1 : 1)),
  );
}
