import { requirePositive } from '../errors.ts';
import { WATER_UNIT_WEIGHT_N_PER_M3 } from '../units/constants.ts';
import { cubed, squared } from '../units/same-everywhere.ts';
import { intervalMaximum } from './interval-maximum.ts';
import {
  type WallBase,
  wallCoefficients,
  wallCoefficientsAt,
  wallDecayLengths,
  wallSlenderness,
} from './wall-coefficients.ts';

export interface CylinderWallInput {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  readonly poissonRatio: number;
  readonly mortarModulusPa: number;
  readonly unitWeightNPerM3?: number | undefined;
}

export interface CylinderWall {
  readonly base: WallBase;
  readonly slenderness: number;
  readonly maxHoopForceNPerM: number;
  readonly depthOfMaxM: number;
  readonly baseMomentNmPerM: number;
  readonly baseShearNPerM: number;
  readonly maxOppositeMomentNmPerM: number;
  readonly depthOfMaxOppositeMomentM: number;
  readonly maxDisplacementM: number;
  readonly totalHoopForceN: number;
  readonly hoopForceProfileNPerM: readonly number[];
}

export interface CylinderWallState {
  readonly hoopForceNPerM: number;
  readonly momentNmPerM: number;
  readonly shearNPerM: number;
  readonly displacementM: number;
}

/** Samples for each decay length when a peak is sought; a peak is about one decay length wide. */
const SAMPLES_PER_DECAY_LENGTH = 10;
const MIN_SAMPLES = 60;
const PROFILE_STEPS = 10;

function scales(input: CylinderWallInput) {
  const unitWeightNPerM3 = input.unitWeightNPerM3 ?? WATER_UNIT_WEIGHT_N_PER_M3;
  const { insideDiameterM, waterDepthM, wallThicknessM, mortarModulusPa } = input;
  requirePositive({
    insideDiameterM,
    waterDepthM,
    wallThicknessM,
    mortarModulusPa,
    unitWeightNPerM3,
  });
  const radiusM = insideDiameterM / 2;
  const slenderness = wallSlenderness(waterDepthM, insideDiameterM, wallThicknessM);
  return {
    slenderness,
    decayLengths: wallDecayLengths(slenderness, input.poissonRatio),
    hoopNPerM: unitWeightNPerM3 * waterDepthM * radiusM,
    momentNmPerM: unitWeightNPerM3 * cubed(waterDepthM),
    shearNPerM: unitWeightNPerM3 * squared(waterDepthM),
    radiusPerStiffness: radiusM / (mortarModulusPa * wallThicknessM),
  };
}

/**
 * Hoop force, moment, shear and outward movement of a full tank wall at one depth.
 *
 * @param depthM z below the water surface, 0 to H
 * @returns hoop force [N/m] tension +, moment [N·m/m] + for tension outside, shear [N/m] + at the
 *   base for the inward hold of the slab, movement [m] outward +
 * @throws {EngineError} when an input is out of range or the depth lies outside the wall
 * @source timoshenko-1959 articles 114 to 117
 */
export function cylinderWallAt(
  input: CylinderWallInput,
  base: WallBase,
  depthM: number,
): CylinderWallState {
  const scale = scales(input);
  const solution = wallCoefficients(scale.decayLengths, base);
  const at = wallCoefficientsAt(solution, depthM / input.waterDepthM);
  return {
    hoopForceNPerM: at.hoop * scale.hoopNPerM,
    momentNmPerM: at.moment * scale.momentNmPerM,
    shearNPerM: at.shear * scale.shearNPerM,
    displacementM: at.hoop * scale.hoopNPerM * scale.radiusPerStiffness,
  };
}

/**
 * Exact membrane and bending forces of an uncracked tank wall, full to the top, free at the top.
 *
 *   B·w⁗ + (E·t/R²)·w = γ·z,   N = E·t·w/R,   M = −B·w″,   B = E·t³ / 12(1 − ν²)
 *
 * Assumes a thin elastic wall of even thickness and the inside radius, as the published tables do.
 * The free base is the envelope N = γ·z·R when the joint of wall and slab cannot be trusted.
 *
 * @param input D = insideDiameterM, H = waterDepthM, t = wallThicknessM, ν = poissonRatio,
 *   E = mortarModulusPa, γ = unitWeightNPerM3 (water unless given)
 * @returns forces per metre [N/m, N·m/m]; the base moment is negative (tension on the water face)
 *   for a fixed base; `maxOppositeMomentNmPerM` is the greatest moment of the other sign;
 *   `hoopForceProfileNPerM` holds 11 values at 0.0H, 0.1H .. 1.0H below the surface;
 *   `totalHoopForceN` is the integral of N over the height, R·(γH²/2 − V)
 * @throws {EngineError} when a value is not finite, not above 0, ν outside [0, 0.5) or βH outside
 *   the range of `wallCoefficients`
 * @source timoshenko-1959 articles 114 to 117
 */
export function cylinderWall(input: CylinderWallInput, base: WallBase): CylinderWall {
  const scale = scales(input);
  const solution = wallCoefficients(scale.decayLengths, base);
  const samples = Math.max(MIN_SAMPLES, Math.ceil(SAMPLES_PER_DECAY_LENGTH * scale.decayLengths));
  const hoop = intervalMaximum((x) => wallCoefficientsAt(solution, x).hoop, 0, 1, samples);
  const moment = intervalMaximum((x) => wallCoefficientsAt(solution, x).moment, 0, 1, samples);
  const foot = wallCoefficientsAt(solution, 1);
  const maxHoopForceNPerM = hoop.value * scale.hoopNPerM;
  return {
    base,
    slenderness: scale.slenderness,
    maxHoopForceNPerM,
    depthOfMaxM: hoop.at * input.waterDepthM,
    baseMomentNmPerM: base === 'fixed' ? foot.moment * scale.momentNmPerM : 0,
    baseShearNPerM: foot.shear * scale.shearNPerM,
    maxOppositeMomentNmPerM: base === 'free' ? 0 : moment.value * scale.momentNmPerM,
    depthOfMaxOppositeMomentM: base === 'free' ? 0 : moment.at * input.waterDepthM,
    maxDisplacementM: maxHoopForceNPerM * scale.radiusPerStiffness,
    totalHoopForceN: (input.insideDiameterM / 2) * scale.shearNPerM * (1 / 2 - foot.shear),
    hoopForceProfileNPerM: Array.from(
      { length: PROFILE_STEPS + 1 },
      (_, i) => wallCoefficientsAt(solution, i / PROFILE_STEPS).hoop * scale.hoopNPerM,
    ),
  };
}
