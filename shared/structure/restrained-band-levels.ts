import { EngineError, requireWithin } from '../errors.ts';
import { squared } from '../units/same-everywhere.ts';
import { type BandZone, MAX_BAND_COUNT } from './band-levels.ts';
import type { CylinderWallInput } from './cylinder-wall.ts';
import {
  type WallBase,
  type WallCoefficients,
  wallCoefficients,
  wallCoefficientsAt,
  wallDecayLengths,
  wallSlenderness,
} from './wall-coefficients.ts';

const BISECTIONS = 60;
const SIMPSON_PANELS = 64;

/** Sum of the hoop coefficient from the surface down to a depth, ξ²/2 − shear. */
function hoopSum(solution: WallCoefficients, depthRatio: number): number {
  return squared(depthRatio) / 2 - wallCoefficientsAt(solution, depthRatio).shear;
}

function depthOfSum(solution: WallCoefficients, sum: number): number {
  let low = 0;
  let high = 1;
  for (let i = 0; i < BISECTIONS; i += 1) {
    const middle = (low + high) / 2;
    if (hoopSum(solution, middle) < sum) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function hoopMoment(solution: WallCoefficients, from: number, to: number): number {
  const step = (to - from) / SIMPSON_PANELS;
  let sum = 0;
  for (let i = 0; i <= SIMPSON_PANELS; i += 1) {
    const at = Math.min(1, from + i * step);
    const weight = i === 0 || i === SIMPSON_PANELS ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * at * wallCoefficientsAt(solution, at).hoop;
  }
  return (sum * step) / 3;
}

/**
 * Bands of equal load when the hold of the slab on the wall is credited.
 *
 * Not to be used alone: it moves the lowest band up and leaves nothing at the joint, where such
 * tanks burst. For comparison with `equalLoadBandZones`, which ignores the slab.
 *
 * @param base how the foot is held, @param count n
 * @returns zones from the surface down; depths [m]
 * @throws {EngineError} when a value of the wall is out of range or n is not within 1 to 60
 * @source timoshenko-1959 article 117; tributary-load
 */
export function restrainedBandZones(
  input: Omit<CylinderWallInput, 'mortarModulusPa' | 'unitWeightNPerM3'>,
  base: WallBase,
  count: number,
): BandZone[] {
  const { waterDepthM, insideDiameterM, wallThicknessM } = input;
  requireWithin('count', count, 1, MAX_BAND_COUNT);
  if (!Number.isInteger(count)) {
    throw new EngineError('out-of-range', 'count', count, 'must be a whole number');
  }
  const slenderness = wallSlenderness(waterDepthM, insideDiameterM, wallThicknessM);
  const solution = wallCoefficients(wallDecayLengths(slenderness, input.poissonRatio), base);
  const total = hoopSum(solution, 1);
  return Array.from({ length: count }, (_, i) => {
    const from = i === 0 ? 0 : depthOfSum(solution, (total * i) / count);
    const to = i + 1 === count ? 1 : depthOfSum(solution, (total * (i + 1)) / count);
    const centroid = hoopMoment(solution, from, to) / (total / count);
    return {
      levelBelowWaterM: centroid * waterDepthM,
      fromDepthM: from * waterDepthM,
      toDepthM: to * waterDepthM,
    };
  });
}
