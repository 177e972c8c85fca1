import { EngineError } from '../errors.ts';
import {
  compareQuantities,
  packRounded,
  type Quantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';

/** One material of one build, in its unit. */
export interface BuildMaterial {
  /** By the bill, with waste. */
  readonly needed: Quantity;
  readonly issued: Quantity;
  readonly returned: Quantity;
  /** What one pack holds; null when the material is not bought in packs. */
  readonly packContent: Quantity | null;
}

export interface BuildMaterialStanding {
  /** Issued less returned. */
  readonly atBuild: Quantity;
  /** Needed and not issued yet, never below 0. */
  readonly outstanding: Quantity;
  /** Above what the build needs: to be brought back, never below 0. */
  readonly returnable: Quantity;
  /** Packs that cover the need, rounded up once; null without packs. */
  readonly neededPacks: number | null;
  /** Packs that cover what is outstanding, rounded up. */
  readonly outstandingPacks: number | null;
  /** Whole unopened packs of what is returnable, rounded down. */
  readonly returnablePacks: number | null;
}

/**
 * Whole packs against a decimal need: packs go out rounded up, and what was issued beyond the need
 * comes back: returnable = max(0, issued − returned − needed).
 *
 * @throws {EngineError} `out-of-range` for a negative quantity or a pack that holds nothing,
 *   `inconsistent` when more came back than was issued
 * @source worked-tank
 */
export function buildMaterialStanding(material: BuildMaterial): BuildMaterialStanding {
  const { needed, issued, returned, packContent } = material;
  for (const field of ['needed', 'issued', 'returned'] as const) {
    if (compareQuantities(material[field], '0') < 0) {
      throw new EngineError('out-of-range', field, material[field], 'must not be negative');
    }
  }
  if (compareQuantities(returned, issued) > 0) {
    throw new EngineError('inconsistent', 'returned', returned, `only ${issued} were issued`);
  }
  const atBuild = subtractQuantities(issued, returned);
  const returnable = notBelowZero(subtractQuantities(atBuild, needed));
  const outstanding = notBelowZero(subtractQuantities(needed, atBuild));
  return {
    atBuild,
    outstanding,
    returnable,
    neededPacks: packsUp(needed, packContent),
    outstandingPacks: packsUp(outstanding, packContent),
    returnablePacks: packContent === null ? null : packsDown(returnable, packContent),
  };
}

const notBelowZero = (quantity: Quantity): Quantity =>
  compareQuantities(quantity, '0') < 0 ? '0' : sumQuantities([quantity]);

const packsUp = (quantity: Quantity, packContent: Quantity | null): number | null =>
  packContent === null ? null : packRounded(quantity, packContent).packCount;

function packsDown(quantity: Quantity, packContent: Quantity): number {
  const { packCount, roundingQuantity } = packRounded(quantity, packContent);
  return roundingQuantity === '0' ? packCount : packCount - 1;
}
