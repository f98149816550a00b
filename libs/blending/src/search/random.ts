/** Seeded random numbers in [0, 1): xorshift32 (Marsaglia, 2003). Equal seeds, equal searches. */
export function randomFrom(seed: number): () => number {
  let state = (seed ^ 0x9e3779b9) >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state >>>= 0;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state / 4294967296;
  };
}
