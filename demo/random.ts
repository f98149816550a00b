/**
 * Seeded randomness for an invented history. Every stream is named, so drawing once more in one place does not change
 * what happens elsewhere. Never for secrets.
 */
export interface Random {
  /** 0 ≤ x < 1 */
  next(): number;
  between(low: number, high: number): number;
  /** whole number, both ends included */
  whole(low: number, high: number): number;
  normal(mean?: number, sd?: number): number;
  chance(probability: number): boolean;
  pick<T>(items: readonly T[]): T;
  weighted<T>(items: readonly T[], weight: (item: T) => number): T;
  /** `count` different items, in the order drawn */
  sample<T>(items: readonly T[], count: number): T[];
}

/** 32-bit FNV-1a of a text, stirred at the end so that texts differing in one character start far apart. */
function hash(text: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

export function randomStream(seed: string): Random {
  let state = hash(seed);
  // Mulberry32 (Tommy Ettinger, public domain): a Weyl sequence and one round of mixing.
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t = (t + Math.imul(t ^ (t >>> 7), t | 61)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const whole = (low: number, high: number): number => low + Math.floor(next() * (high - low + 1));
  const pick = <T>(items: readonly T[]): T => {
    const item = items[whole(0, items.length - 1)];
    if (item === undefined) throw new RangeError('nothing to pick from');
    return item;
  };
  return {
    next,
    whole,
    pick,
    between: (low, high) => low + (high - low) * next(),
    // Box and Muller; 1 - next() is never 0.
    normal: (mean = 0, sd = 1) =>
      mean + sd * Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
    chance: (probability) => next() < probability,
    weighted: (items, weight) => {
      let left = next() * items.reduce((sum, item) => sum + weight(item), 0);
      for (const item of items) {
        left -= weight(item);
        if (left < 0) return item;
      }
      return pick(items);
    },
    sample: (items, count) => {
      const rest = [...items];
      const drawn = [];
      while (drawn.length < count && rest.length > 0)
        drawn.push(...rest.splice(whole(0, rest.length - 1), 1));
      return drawn;
    },
  };
}
