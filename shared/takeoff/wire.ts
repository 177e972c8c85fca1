import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

/**
 * Mass of round steel wire per metre: 7.85·π/4·d² = 6.165·d² grams, d in mm.
 *
 * @source steel-density
 */
export function wireMassKgPerM(diameterMm: number): number {
  requirePositive({ diameterMm });
  return (((7.85 * Math.PI) / 4) * diameterMm * diameterMm) / 1000;
}

/**
 * Tie wire of a number of ties: ties · length · mass per metre.
 *
 * @returns wire [kg]
 * @source steel-density
 */
export function tieWireKg(input: {
  readonly tieCount: number;
  readonly tieLengthM: number;
  readonly wireDiameterMm: number;
}): number {
  requireNotNegative({ tieCount: input.tieCount });
  requirePositive({ tieLengthM: input.tieLengthM });
  return input.tieCount * input.tieLengthM * wireMassKgPerM(input.wireDiameterMm);
}

/**
 * Crossings of a square grid of strips inside a circle: points (i·s, j·s) with a distance from the
 * centre below r.
 *
 * @param input r = radiusM, s = spacingM
 * @throws {EngineError} `out-of-range` when the spacing is under a thousandth of the radius
 * @source takeoff-own
 */
export function gridCrossingCount(input: {
  readonly radiusM: number;
  readonly spacingM: number;
}): number {
  const { radiusM, spacingM } = input;
  requirePositive({ radiusM, spacingM });
  if (radiusM / spacingM > 1000) {
    throw new EngineError('out-of-range', 'spacingM', spacingM, 'must be at least radius/1000');
  }
  const reach = radiusM * radiusM * (1 - 1e-12);
  const last = Math.floor(radiusM / spacingM);
  let count = 0;
  for (let i = -last; i <= last; i += 1) {
    for (let j = -last; j <= last; j += 1) {
      if ((i * i + j * j) * spacingM * spacingM < reach) count += 1;
    }
  }
  return count;
}
