import { requirePositive } from '../errors.ts';
import { GRAVITY_M_PER_S2, WATER_DENSITY_KG_PER_M3 } from '../units/constants.ts';
import { exponential, hyperbolicTangent, squared } from '../units/same-everywhere.ts';

/** Ratios of the two-mass model of water in an upright cylinder; heights are shares of the depth. */
export interface LiquidMassModel {
  readonly impulsiveMassRatio: number;
  readonly impulsiveHeightRatio: number;
  /** With the pressure on the floor included. */
  readonly impulsiveHeightWithFloorRatio: number;
  readonly convectiveMassRatio: number;
  readonly convectiveHeightRatio: number;
  readonly convectiveHeightWithFloorRatio: number;
  readonly impulsivePeriodCoefficient: number;
  readonly convectivePeriodCoefficient: number;
}

/**
 * Two-mass model of the water in a tank shaken by an earthquake.
 *
 *   mᵢ/m = tanh(0.866 D/h) / (0.866 D/h);   m_c/m = 0.23 tanh(3.68 h/D) / (h/D)
 *   hᵢ/h = 0.375 for h/D ≤ 0.75, else 0.5 − 0.09375/(h/D)
 *   hᵢ*  = 0.866(D/h) / 2tanh(0.866 D/h) − 0.125 for h/D ≤ 1.33, else 0.45
 *   h_c  = 1 − [cosh a − 1] / (a sinh a), h_c* with 2.01 in place of 1, a = 3.68 h/D
 *
 * The two masses do not quite add up to the whole; the guideline accepts that.
 *
 * @param insideDiameterM D, @param waterDepthM h
 * @throws {EngineError} when a length is not above 0
 * @source gsdma-2007 section 4.2
 */
export function liquidMassModel(insideDiameterM: number, waterDepthM: number): LiquidMassModel {
  requirePositive({ insideDiameterM, waterDepthM });
  const slimness = waterDepthM / insideDiameterM;
  const b = 0.866 / slimness;
  const a = 3.68 * slimness;
  // cosh(a)/sinh(a) and 1/sinh(a) apart, so that a very tall tank does not overflow
  const coth = 1 / hyperbolicTangent(a);
  const cosech = (2 * exponential(-a)) / (1 - exponential(-2 * a));
  return {
    impulsiveMassRatio: hyperbolicTangent(b) / b,
    impulsiveHeightRatio: slimness <= 0.75 ? 0.375 : 0.5 - 0.09375 / slimness,
    impulsiveHeightWithFloorRatio: slimness <= 1.33 ? b / (2 * hyperbolicTangent(b)) - 0.125 : 0.45,
    convectiveMassRatio: (0.23 * hyperbolicTangent(a)) / slimness,
    convectiveHeightRatio: 1 - (coth - cosech) / a,
    convectiveHeightWithFloorRatio: 1 - (coth - 2.01 * cosech) / a,
    impulsivePeriodCoefficient:
      1 / (Math.sqrt(slimness) * (0.46 - 0.3 * slimness + 0.067 * squared(slimness))),
    convectivePeriodCoefficient: (2 * Math.PI) / Math.sqrt(3.68 * hyperbolicTangent(a)),
  };
}

export interface LiquidPeriods {
  readonly impulsivePeriodS: number;
  readonly convectivePeriodS: number;
}

/**
 * Periods of the impulsive and of the sloshing motion.
 *
 *   Tᵢ = Cᵢ · h · √ρ / (√(t/D) · √E),   T_c = C_c · √(D/g)
 *
 * @param wallThicknessM t, @param modulusPa E
 * @returns periods [s]
 * @throws {EngineError} when a value is not above 0
 * @source gsdma-2007 section 4.3
 */
export function liquidPeriods(
  insideDiameterM: number,
  waterDepthM: number,
  wallThicknessM: number,
  modulusPa: number,
): LiquidPeriods {
  requirePositive({ wallThicknessM, modulusPa });
  const model = liquidMassModel(insideDiameterM, waterDepthM);
  const stiffness = Math.sqrt(wallThicknessM / insideDiameterM) * Math.sqrt(modulusPa);
  return {
    impulsivePeriodS:
      (model.impulsivePeriodCoefficient * waterDepthM * Math.sqrt(WATER_DENSITY_KG_PER_M3)) /
      stiffness,
    convectivePeriodS:
      model.convectivePeriodCoefficient * Math.sqrt(insideDiameterM / GRAVITY_M_PER_S2),
  };
}

/** First root of J₁′, the wave number of the first sloshing mode times the radius. */
const FIRST_SLOSHING_ROOT = 1.8411837813406593;

/**
 * Share of the water that moves in the first sloshing mode, by linear potential flow.
 *
 *   m_c/m = 2 tanh(κ h/R) / [κ (h/R) (κ² − 1)],   κ = 1.8412
 *
 * @param insideDiameterM 2R, @param waterDepthM h
 * @throws {EngineError} when a length is not above 0
 * @source sloshing-potential-flow
 */
export function exactSloshingMassRatio(insideDiameterM: number, waterDepthM: number): number {
  requirePositive({ insideDiameterM, waterDepthM });
  const k = (FIRST_SLOSHING_ROOT * waterDepthM * 2) / insideDiameterM;
  return (2 * hyperbolicTangent(k)) / (k * (squared(FIRST_SLOSHING_ROOT) - 1));
}
