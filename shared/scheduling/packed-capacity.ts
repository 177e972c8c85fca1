/** Bits of a field word; the sign bit stays free. */
const WORD_BITS = 31;

/**
 * Capacities packed into words of bit fields, each field one bit wider than its capacity. That top
 * bit, the guard, stands at 1 while a field is not overdrawn: one subtraction tests, for every
 * resource of the word, whether a request fits.
 */
export interface PackedCapacity {
  readonly wordCount: number;
  /** By word: all capacities free, guards set. */
  readonly full: Int32Array;
  readonly guards: Int32Array;
  /** By resource: its word, the place of its field, and the mask of its value. */
  readonly wordOf: Int32Array;
  readonly shiftOf: Int32Array;
  readonly maskOf: Int32Array;
}

/**
 * Packs capacities into as few words as their order allows.
 *
 * @param capacity units of each resource, from 0 to 2³⁰ − 1
 * @source guarded-fields
 */
export function packedCapacity(capacity: Int32Array): PackedCapacity {
  const wordOf = new Int32Array(capacity.length);
  const shiftOf = new Int32Array(capacity.length);
  const maskOf = new Int32Array(capacity.length);
  const full: number[] = [0];
  const guards: number[] = [0];
  let usedBits = 0;
  for (let resource = 0; resource < capacity.length; resource += 1) {
    const units = capacity[resource] as number;
    const valueBits = 32 - Math.clz32(units);
    if (usedBits + valueBits + 1 > WORD_BITS) {
      full.push(0);
      guards.push(0);
      usedBits = 0;
    }
    const word = full.length - 1;
    const guard = 1 << (usedBits + valueBits);
    wordOf[resource] = word;
    shiftOf[resource] = usedBits;
    maskOf[resource] = (1 << valueBits) - 1;
    guards[word] = (guards[word] as number) | guard;
    full[word] = (full[word] as number) | guard | (units << usedBits);
    usedBits += valueBits + 1;
  }
  return {
    wordCount: full.length,
    full: Int32Array.from(full),
    guards: Int32Array.from(guards),
    wordOf,
    shiftOf,
    maskOf,
  };
}
