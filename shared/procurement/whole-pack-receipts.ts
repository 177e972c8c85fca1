import {
  compareQuantities,
  packRounded,
  type Quantity,
  scaleQuantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';

export interface WholePackReceipt {
  readonly packCount: number;
  readonly quantity: Quantity;
  /** What is left over after the need of the period, kept for the next. */
  readonly leftOver: Quantity;
}

/**
 * Net needs of successive periods bought as they fall due, in whole packs: what rounding leaves over
 * in one period serves the next before another pack is bought. Exact decimal quantities.
 *
 *     packs_t = ⌈(need_t − left_{t−1}) / content⌉, at least the minimum when above 0
 *     left_t = left_{t−1} + packs_t · content − need_t
 *
 * @param needs one quantity a period, none negative
 * @throws {EngineError} `out-of-range` for a pack that holds nothing
 * @source mrp-netting lot rule "pack multiple"
 */
export function wholePackReceipts(
  needs: readonly Quantity[],
  packContent: Quantity,
  minimumPacks = 1,
): WholePackReceipt[] {
  let left: Quantity = '0';
  return needs.map((need) => {
    const open = subtractQuantities(need, left);
    const isCovered = compareQuantities(open, '0') <= 0;
    const packs = isCovered ? 0 : packRounded(open, packContent).packCount;
    const packCount = packs === 0 ? 0 : Math.max(packs, minimumPacks);
    const quantity = packCount === 0 ? '0' : scaleQuantity(packContent, packCount);
    left = subtractQuantities(sumQuantities([left, quantity]), need);
    return { packCount, quantity, leftOver: left };
  });
}
