/** Numbers in [0, 1), the same again for the same seed. */
export type SeededRandom = () => number;

/**
 * A small generator of even numbers, repeatable by its seed; for search and sampling, never for
 * secrets. The state moves by a Weyl step and is mixed by two multiplications.
 *
 * @source mulberry
 */
export function seededRandom(seed: number): SeededRandom {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}
