/** Seeded chance: the same numbers in every run. xorshift32, Marsaglia, "Xorshift RNGs", 2003 (the triple 13, 17, 5). */
export function chances(seed: number): () => number {
  let state = (seed | 0) === 0 ? 1 : seed | 0;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}
