import { EngineError } from '../errors.ts';
import { compareQuantities, type Quantity, subtractQuantities, sumQuantities } from './quantity.ts';

/** Builds from which on a learned waste is offered. */
export const LEARNED_WASTE_FROM_BUILDS = 5;

/** One material of one finished build. */
export interface UsedMaterial {
  /** In place by the bill, without waste. */
  readonly net: Quantity;
  readonly issued: Quantity;
  readonly returned: Quantity;
}

export interface LearnedWaste {
  readonly buildCount: number;
  readonly netQuantity: Quantity;
  /** Issued less returned. */
  readonly usedQuantity: Quantity;
  /**
   * Σ used / Σ net − 1; below 0 when less was used than the bill has in place, which asks for a look at
   * the bill or at the records. Null when too few builds tell.
   */
  readonly wasteRatio: number | null;
  readonly tooFew: boolean;
}

/** Sums of one material over finished builds. */
export interface UsedTotals extends UsedMaterial {
  readonly buildCount: number;
}

/**
 * Waste of a material learned from finished builds: ratio = Σ(issued − returned) / Σ net − 1, over
 * the builds whose bill has the material. Quantities are added up first, so that a large build weighs
 * as much as it uses. It is offered beside the bill's own waste and never replaces it.
 *
 * @throws {EngineError} `out-of-range` when a net quantity is not above 0 or another is negative,
 *   `inconsistent` when more came back than was issued
 * @source waste-practice
 */
export function learnedWaste(builds: readonly UsedMaterial[]): LearnedWaste {
  for (const build of builds) requireUsed(build);
  return learnedWasteOfTotals({
    buildCount: builds.length,
    net: sumQuantities(builds.map(({ net }) => net)),
    issued: sumQuantities(builds.map(({ issued }) => issued)),
    returned: sumQuantities(builds.map(({ returned }) => returned)),
  });
}

/**
 * The same from sums that were made elsewhere.
 *
 * @throws {EngineError} as `learnedWaste`; nothing is asked of the sums of no builds
 * @source waste-practice
 */
export function learnedWasteOfTotals(totals: UsedTotals): LearnedWaste {
  const { buildCount, net, issued, returned } = totals;
  if (buildCount > 0) requireUsed(totals);
  const usedQuantity = subtractQuantities(issued, returned);
  const tooFew = buildCount < LEARNED_WASTE_FROM_BUILDS;
  return {
    buildCount,
    netQuantity: net,
    usedQuantity,
    wasteRatio: tooFew ? null : Number(usedQuantity) / Number(net) - 1,
    tooFew,
  };
}

function requireUsed({ net, issued, returned }: UsedMaterial): void {
  if (compareQuantities(net, '0') <= 0) {
    throw new EngineError('out-of-range', 'net', net, 'must be above 0');
  }
  if (compareQuantities(returned, '0') < 0) {
    throw new EngineError('out-of-range', 'returned', returned, 'must not be negative');
  }
  if (compareQuantities(returned, issued) > 0) {
    throw new EngineError('inconsistent', 'returned', returned, `only ${issued} were issued`);
  }
}
