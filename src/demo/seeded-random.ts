/** Seeded generator (mulberry32): the same seed gives the same season on every machine. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  integer(low: number, high: number): number;
  pick<Item>(items: readonly Item[]): Item;
  /** Gamma distributed with the given shape and scale (Marsaglia and Tsang 2000). */
  gamma(shape: number, scale: number): number;
}

export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
  const gamma = (shape: number, scale: number): number => {
    if (shape < 1) return gamma(shape + 1, scale) * (1 - next()) ** (1 / shape);
    const d = shape - 1 / 3;
    const c = 1 / Math.sqrt(9 * d);
    while (true) {
      const x = normal();
      const v = (1 + c * x) ** 3;
      if (v > 0 && Math.log(1 - next()) < 0.5 * x * x + d - d * v + d * Math.log(v)) {
        return d * v * scale;
      }
    }
  };
  return {
    next,
    integer: (low, high) => low + Math.floor(next() * (high - low + 1)),
    pick: (items) => {
      const item = items[Math.floor(next() * items.length)];
      if (item === undefined) throw new Error('nothing to pick from');
      return item;
    },
    gamma,
  };
}
