import { circleAreaM2 } from '../geometry/cylinder.ts';
import { overturningSafetyFactor, slabBearing, slidingSafetyFactor } from './bearing.ts';
import {
  earthquakeLoad,
  type SeismicCoefficients,
  sloshingWaveHeightM,
} from './earthquake-load.ts';
import { liquidPeriods } from './liquid-mass-model.ts';
import { type SoilClass, slidingResistanceN } from './soil-bearing.ts';
import type { TankMasses } from './tank-masses.ts';
import { windLoad } from './wind-load.ts';

export interface TankStabilityInput {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  readonly mortarModulusPa: number;
  readonly domeRiseM: number;
  readonly slabDiameterM: number;
  readonly slabThicknessM: number;
  readonly masses: TankMasses;
  readonly soilClass: SoilClass;
}

export interface TankWind {
  readonly windSpeedMPerS: number;
  readonly pressurePa: number;
  readonly forceN: number;
  readonly momentNm: number;
  readonly resistingMomentNm: number;
  readonly slidingResistanceN: number;
  readonly overturningSafetyFactor: number | null;
  readonly slidingSafetyFactor: number | null;
}

export interface TankSeismic {
  readonly impulsiveMassKg: number;
  readonly convectiveMassKg: number;
  readonly impulsivePeriodS: number;
  readonly convectivePeriodS: number;
  readonly impulsiveShearN: number;
  readonly convectiveShearN: number;
  readonly baseShearN: number;
  readonly impulsiveMomentNm: number;
  readonly convectiveMomentNm: number;
  readonly overturningMomentNm: number;
  readonly resistingMomentNm: number;
  readonly slidingResistanceN: number;
  readonly eccentricityM: number;
  readonly kernM: number;
  readonly maxBearingPressurePa: number | null;
  readonly minBearingPressurePa: number | null;
  readonly overturningSafetyFactor: number | null;
  readonly slidingSafetyFactor: number | null;
  readonly impulsiveFloorPressurePa: number;
  readonly sloshingWaveHeightM: number;
}

/**
 * Stability of the empty tank in wind.
 *
 * @returns pressure [Pa], forces [N], moments about the slab underside [N·m]; a factor of safety is
 *   null when there is no wind
 * @throws {EngineError} when an input is out of range
 * @source is-875-3; ibc-2012-1806
 */
export function tankWind(input: TankStabilityInput, windSpeedMPerS: number): TankWind {
  const { slabDiameterM, masses, soilClass } = input;
  const load = windLoad({
    windSpeedMPerS,
    outsideDiameterM: input.insideDiameterM + 2 * input.wallThicknessM,
    wallHeightM: input.waterDepthM,
    domeRiseM: input.domeRiseM,
    slabThicknessM: input.slabThicknessM,
  });
  const weightN = masses.emptyWeightN;
  const resistanceN = slidingResistanceN(soilClass, weightN, circleAreaM2(slabDiameterM));
  return {
    windSpeedMPerS,
    ...load,
    resistingMomentNm: (weightN * slabDiameterM) / 2,
    slidingResistanceN: resistanceN,
    overturningSafetyFactor: overturningSafetyFactor(weightN, slabDiameterM, load.momentNm),
    slidingSafetyFactor: slidingSafetyFactor(resistanceN, load.forceN),
  };
}

/**
 * Stability of the full tank in an earthquake.
 *
 * @returns masses [kg], periods [s], forces [N], moments about the slab underside [N·m]; bearing
 *   pressures are null when the slab lifts; a factor of safety is null when nothing acts
 * @throws {EngineError} when an input is out of range
 * @source gsdma-2007 section 4; ibc-2012-1806
 */
export function tankSeismic(
  input: TankStabilityInput,
  coefficients: SeismicCoefficients,
): TankSeismic {
  const { insideDiameterM, waterDepthM, slabDiameterM, masses } = input;
  const load = earthquakeLoad({ ...input, ...coefficients });
  const weightN = masses.fullWeightN;
  const bearing = slabBearing(weightN, slabDiameterM, load.overturningMomentNm);
  const areaM2 = circleAreaM2(slabDiameterM);
  const resistanceN = slidingResistanceN(input.soilClass, weightN, areaM2);
  return {
    ...load,
    ...liquidPeriods(insideDiameterM, waterDepthM, input.wallThicknessM, input.mortarModulusPa),
    resistingMomentNm: (weightN * slabDiameterM) / 2,
    slidingResistanceN: resistanceN,
    eccentricityM: bearing.eccentricityM,
    kernM: bearing.kernM,
    maxBearingPressurePa: bearing.maxPressurePa,
    minBearingPressurePa: bearing.minPressurePa,
    overturningSafetyFactor: overturningSafetyFactor(
      weightN,
      slabDiameterM,
      load.overturningMomentNm,
    ),
    slidingSafetyFactor: slidingSafetyFactor(resistanceN, load.baseShearN),
    sloshingWaveHeightM: sloshingWaveHeightM(insideDiameterM, coefficients.convectiveCoefficient),
  };
}
