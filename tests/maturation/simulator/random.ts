/** Seeded random numbers for the simulated estates (sfc32, Box–Muller). */
export interface Random {
  uniform(): number;
  between(low: number, high: number): number;
  normal(mean?: number, sd?: number): number;
  chance(probability: number): boolean;
  integer(low: number, highInclusive: number): number;
  pick<T>(items: readonly T[]): T;
  weighted<T>(items: readonly (readonly [T, number])[]): T;
}

export function seededRandom(seed: number): Random {
  let a = 0x9e3779b9 ^ seed;
  let b = 0x243f6a88;
  let c = 0xb7e15162;
  let d = (seed * 2654435761) >>> 0;
  const uniform = (): number => {
    const t = (a + b + d) | 0;
    d = (d + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return ((t >>> 0) + 0.5) / 4294967296;
  };
  for (let i = 0; i < 15; i++) uniform();
  const integer = (low: number, high: number): number =>
    low + Math.floor(uniform() * (high - low + 1));
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    normal: (mean = 0, sd = 1) =>
      mean + sd * Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()),
    chance: (p) => uniform() < p,
    integer,
    pick: (items) => items[integer(0, items.length - 1)]!,
    weighted: (items) => {
      let left = uniform() * items.reduce((sum, [, w]) => sum + w, 0);
      for (const [item, weight] of items) if ((left -= weight) <= 0) return item;
      return items.at(-1)![0];
    },
  };
}
