import { requireNotNegative, requirePositive, requireWithin } from '../errors.ts';
import { hydrostaticPressurePa } from './hydrostatic.ts';

/**
 * Share of the hoop load given to bamboo hoops in the long term. Hoops cut out of tanks 1.5 to 6
 * years old had decayed and no longer worked as reinforcement.
 */
export const BAMBOO_HOOP_LONG_TERM_CREDIT_RATIO = 0;

/** Stress of a bamboo hoop while the tank is being built, rounded down from 10.7 MPa. Ours. */
export const BAMBOO_HOOP_BUILDING_STRESS_PA = 10e6;

/** Highest water, as a share of the wall, that may stand on bamboo hoops in building. Ours. */
export const BAMBOO_HOOP_MAX_FILL_RATIO = 1 / 3;

export interface BambooStrengthInput {
  /** Fifth percentile of tension along the fibre, 95 MPa for the species tested. */
  readonly characteristicTensionMPa: number;
  /** Loss at a node, about one half. */
  readonly nodeRatio: number;
  readonly redundancyRatio: number;
  readonly durationAndMoistureRatio: number;
  readonly safetyFactor: number;
}

/**
 * Stress that a bamboo strip hoop may bear for a short time.
 *
 *   f = f_k · node · C_R · C_DF / FS
 *
 * The factors are borrowed: the standard covers round culms in buildings, not strips in wet mortar.
 *
 * @returns stress [MPa]
 * @throws {EngineError} when a value is not above 0 or a ratio exceeds 1.1
 * @source iso-22156; salzer-2018 characteristic tension
 */
export function bambooStripStressMPa(input: BambooStrengthInput): number {
  requirePositive({ ...input });
  const { nodeRatio, redundancyRatio, durationAndMoistureRatio } = input;
  requireWithin('nodeRatio', nodeRatio, 0, 1);
  requireWithin('redundancyRatio', redundancyRatio, 0, 1.1);
  requireWithin('durationAndMoistureRatio', durationAndMoistureRatio, 0, 1);
  return (
    (input.characteristicTensionMPa * nodeRatio * redundancyRatio * durationAndMoistureRatio) /
    input.safetyFactor
  );
}

/**
 * Stress of the lowest bamboo hoop while a tank stands part full before its bands carry.
 *
 *   σ = γ · z · R · s / A
 *
 * @param waterDepthM z of the water standing in the tank, @param wallHeightM of the whole wall
 * @param radiusM R, @param hoopSpacingM s, @param hoopAreaMm2 A of one hoop
 * @returns stress [Pa]
 * @throws {EngineError} `out-of-range` when the water stands above a third of the wall
 * @source project-limit; archila-2018
 */
export function bambooHoopBuildingStressPa(
  waterDepthM: number,
  wallHeightM: number,
  radiusM: number,
  hoopSpacingM: number,
  hoopAreaMm2: number,
): number {
  requireNotNegative({ waterDepthM });
  requirePositive({ wallHeightM, radiusM, hoopSpacingM, hoopAreaMm2 });
  requireWithin('waterDepthM', waterDepthM, 0, wallHeightM * BAMBOO_HOOP_MAX_FILL_RATIO);
  return (hydrostaticPressurePa(waterDepthM) * radiusM * hoopSpacingM) / (hoopAreaMm2 * 1e-6);
}
