import { sha256Hex } from '../journal/seal.ts';

/**
 * So many of the items, each as likely as any other: the ones whose SHA-256 with the seed comes first. Whoever has the
 * seed can draw the same sample again and see that nobody has chosen.
 */
export function drawSample<T extends { id: string }>(
  items: readonly T[],
  count: number,
  seed: string,
): T[] {
  return items
    .map((item) => ({ item, lot: sha256Hex(`${seed}:${item.id}`) }))
    .sort((a, b) => (a.lot < b.lot ? -1 : 1))
    .slice(0, count)
    .map(({ item }) => item);
}
