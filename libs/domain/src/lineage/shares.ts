/** Shares of origin: non-negative, summing to 1 (within 1e-9), sparse. */
export type Shares = Readonly<Record<string, number>>;

/** Σ weight · shares, normalised by the weights' sum. Empty in, empty out. */
export function blendShares(
  parts: readonly { weight: number; shares: Shares }[],
): Record<string, number> {
  const total = parts.reduce((sum, p) => sum + p.weight, 0);
  const out: Record<string, number> = {};
  if (total === 0) return out;
  for (const { weight, shares } of parts)
    for (const [id, share] of Object.entries(shares))
      out[id] = (out[id] ?? 0) + (weight / total) * share;
  return Object.fromEntries(Object.entries(out).sort(([a], [b]) => (a < b ? -1 : 1)));
}
