import { requireNotNegative, requirePositive, requireWithin } from '../errors.ts';
import { GRAVITY_M_PER_S2, WATER_UNIT_WEIGHT_N_PER_M3 } from '../units/constants.ts';
import { cubed, hyperbolicTangent, hypotenuse, squared } from '../units/same-everywhere.ts';
import type { BandZone } from './band-levels.ts';
import { liquidMassModel } from './liquid-mass-model.ts';
import type { TankMasses } from './tank-masses.ts';

/** Horizontal acceleration over gravity: for the stiff motion and for the sloshing. */
export interface SeismicCoefficients {
  readonly impulsiveCoefficient: number;
  readonly convectiveCoefficient: number;
}

export interface EarthquakeLoadInput extends SeismicCoefficients {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly domeRiseM: number;
  readonly slabThicknessM: number;
  readonly masses: TankMasses;
}

export interface EarthquakeLoad {
  readonly impulsiveMassKg: number;
  readonly convectiveMassKg: number;
  readonly impulsiveShearN: number;
  readonly convectiveShearN: number;
  readonly baseShearN: number;
  readonly impulsiveMomentNm: number;
  readonly convectiveMomentNm: number;
  readonly overturningMomentNm: number;
  readonly impulsiveFloorPressurePa: number;
}

/** Where the mass of a shallow dome acts, as a share of its rise above the springing. */
const DOME_MASS_ARM_RATIO = 0.4;

/**
 * Base shear and overturning moment of a full tank in an earthquake.
 *
 *   Vᵢ = A_hi · (mᵢ + m_wall + m_roof) · g,   V_c = A_hc · m_c · g,   V = √(Vᵢ² + V_c²)
 *   M the same way with the heights h* (floor pressure included) above the slab underside
 *   extra wall pressure at the floor: 0.866 tanh(0.866 D/h) · A_hi · γ · h
 *
 * As the guideline does, the shear leaves out the inertia of the slab; the moment includes it.
 *
 * @param input A_hi = impulsiveCoefficient, A_hc = convectiveCoefficient
 * @returns masses [kg], shears [N], moments about the slab underside [N·m], pressure [Pa]
 * @throws {EngineError} when a coefficient is negative or a length is not above 0
 * @source gsdma-2007 sections 4.5 to 4.9
 */
export function earthquakeLoad(input: EarthquakeLoadInput): EarthquakeLoad {
  const { impulsiveCoefficient, convectiveCoefficient, waterDepthM, slabThicknessM } = input;
  requireNotNegative({ impulsiveCoefficient, convectiveCoefficient });
  requirePositive({ waterDepthM, slabThicknessM, domeRiseM: input.domeRiseM });
  const model = liquidMassModel(input.insideDiameterM, waterDepthM);
  const { waterKg, wallKg, domeKg, slabKg } = input.masses;
  const impulsiveMassKg = model.impulsiveMassRatio * waterKg;
  const convectiveMassKg = model.convectiveMassRatio * waterKg;
  const impulsiveAcceleration = impulsiveCoefficient * GRAVITY_M_PER_S2;
  const convectiveAcceleration = convectiveCoefficient * GRAVITY_M_PER_S2;
  const armAboveSlabUnderside = (heightM: number): number => slabThicknessM + heightM;
  const impulsiveShearN = impulsiveAcceleration * (impulsiveMassKg + wallKg + domeKg);
  const convectiveShearN = convectiveAcceleration * convectiveMassKg;
  const impulsiveMomentNm =
    impulsiveAcceleration *
    (impulsiveMassKg * armAboveSlabUnderside(model.impulsiveHeightWithFloorRatio * waterDepthM) +
      wallKg * armAboveSlabUnderside(waterDepthM / 2) +
      domeKg * armAboveSlabUnderside(waterDepthM + DOME_MASS_ARM_RATIO * input.domeRiseM) +
      (slabKg * slabThicknessM) / 2);
  const convectiveMomentNm =
    convectiveShearN * armAboveSlabUnderside(model.convectiveHeightWithFloorRatio * waterDepthM);
  return {
    impulsiveMassKg,
    convectiveMassKg,
    impulsiveShearN,
    convectiveShearN,
    baseShearN: hypotenuse(impulsiveShearN, convectiveShearN),
    impulsiveMomentNm,
    convectiveMomentNm,
    overturningMomentNm: hypotenuse(impulsiveMomentNm, convectiveMomentNm),
    impulsiveFloorPressurePa: impulsiveWallPressurePa(
      input.insideDiameterM,
      waterDepthM,
      waterDepthM,
      impulsiveCoefficient,
    ),
  };
}

/**
 * Impulsive water pressure on the wall in the direction of shaking.
 *
 *   p = 0.866 · tanh(0.866 D/h) · [1 − (y/h)²] · A_hi · γ · h,   y = h − z
 *
 * @param depthM z below the water surface
 * @returns pressure [Pa], added to the still water on one side and taken off on the other
 * @throws {EngineError} when a length is not above 0, the depth outside the water or A_hi negative
 * @source gsdma-2007 section 4.9
 */
export function impulsiveWallPressurePa(
  insideDiameterM: number,
  waterDepthM: number,
  depthM: number,
  impulsiveCoefficient: number,
): number {
  requirePositive({ insideDiameterM, waterDepthM });
  requireNotNegative({ impulsiveCoefficient, depthM, heightM: waterDepthM - depthM });
  const shape = 1 - squared((waterDepthM - depthM) / waterDepthM);
  const atFloor = 0.866 * hyperbolicTangent((0.866 * insideDiameterM) / waterDepthM);
  return atFloor * shape * impulsiveCoefficient * WATER_UNIT_WEIGHT_N_PER_M3 * waterDepthM;
}

/**
 * Tension that the impulsive pressure adds to a band, taken as if it acted all round.
 *
 *   ΔT = R · ∫ p dz = R · p₀ · h · [ζ² − ζ³/3] from a/h to b/h,   p₀ at the floor
 *
 * @param zone a = fromDepthM, b = toDepthM, depths below the water surface
 * @returns tension [N]
 * @throws {EngineError} as `impulsiveWallPressurePa`, or when the zone leaves the water
 * @source gsdma-2007 section 4.9
 */
export function impulsiveBandTensionN(
  insideDiameterM: number,
  waterDepthM: number,
  zone: Pick<BandZone, 'fromDepthM' | 'toDepthM'>,
  impulsiveCoefficient: number,
): number {
  const atFloorPa = impulsiveWallPressurePa(
    insideDiameterM,
    waterDepthM,
    waterDepthM,
    impulsiveCoefficient,
  );
  requireWithin('toDepthM', zone.toDepthM, 0, waterDepthM);
  requireWithin('fromDepthM', zone.fromDepthM, 0, zone.toDepthM);
  const sum = (depthM: number): number => {
    const share = depthM / waterDepthM;
    return squared(share) - cubed(share) / 3;
  };
  const heightM = waterDepthM * (sum(zone.toDepthM) - sum(zone.fromDepthM));
  return (insideDiameterM / 2) * atFloorPa * heightM;
}

/**
 * Height of the sloshing wave above the water at rest.
 *
 *   d = A_hc · R · D / 2
 *
 * @param responseReduction R, the factor by which A_hc was reduced; 1 when it was not
 * @returns height [m]
 * @throws {EngineError} when a value is negative or a length or factor is not above 0
 * @source gsdma-2007 section 4.11
 */
export function sloshingWaveHeightM(
  insideDiameterM: number,
  convectiveCoefficient: number,
  responseReduction = 1,
): number {
  requirePositive({ insideDiameterM, responseReduction });
  requireNotNegative({ convectiveCoefficient });
  return (convectiveCoefficient * responseReduction * insideDiameterM) / 2;
}
