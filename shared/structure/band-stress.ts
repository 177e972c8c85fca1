import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';

const PA_PER_MPA = 1e6;
const M2_PER_MM2 = 1e-6;

/** Tension permitted in plain mild steel of a member that holds water. */
export const PERMITTED_BAND_STRESS_MPA = 115;

/** Share of the lower-bound yield strength that a net section may reach. */
export const NET_SECTION_YIELD_RATIO = 0.6;

/** Joint efficiency taken when none is given. Ours. */
export const DEFAULT_JOINT_EFFICIENCY_RATIO = 0.65;

export interface BandSection {
  readonly widthMm: number;
  readonly thicknessMm: number;
  readonly yieldStrengthMPa: number;
  readonly jointEfficiencyRatio: number;
}

export interface BandLimits {
  readonly grossAreaMm2: number;
  readonly netAreaMm2: number;
  readonly permittedGrossStressPa: number;
  readonly permittedNetStressPa: number;
  readonly capacityN: number;
}

export interface BandStress {
  readonly grossStressPa: number;
  readonly netStressPa: number;
  readonly grossUtilisationRatio: number;
  readonly netUtilisationRatio: number;
  /** The greater of the two. */
  readonly utilisationRatio: number;
}

function requireSection(section: BandSection): void {
  const { jointEfficiencyRatio } = section;
  requirePositive({
    widthMm: section.widthMm,
    thicknessMm: section.thicknessMm,
    yieldStrengthMPa: section.yieldStrengthMPa,
    jointEfficiencyRatio,
  });
  if (jointEfficiencyRatio > 1) {
    const limit = 'must not exceed 1';
    throw new EngineError('out-of-range', 'jointEfficiencyRatio', jointEfficiencyRatio, limit);
  }
}

/**
 * Areas, permitted stresses and capacity of a flat steel band.
 *
 * Two limits, each on its own section: the gross section against the permitted tension of a
 * water-retaining member, 115 MPa (or 0.6·fy when that is lower), and the net section at the joint
 * against 0.6·fy.
 *
 * @returns areas [mm²], stresses [Pa], capacity [N] as the lesser of the two limits
 * @throws {EngineError} when a value is not above 0 or the joint efficiency exceeds 1
 * @source is-3370-2 table 4; is-800 working stress of a tie
 */
export function bandLimits(section: BandSection): BandLimits {
  requireSection(section);
  const grossAreaMm2 = section.widthMm * section.thicknessMm;
  const netAreaMm2 = grossAreaMm2 * section.jointEfficiencyRatio;
  const netMPa = NET_SECTION_YIELD_RATIO * section.yieldStrengthMPa;
  const grossMPa = Math.min(PERMITTED_BAND_STRESS_MPA, netMPa);
  return {
    grossAreaMm2,
    netAreaMm2,
    permittedGrossStressPa: grossMPa * PA_PER_MPA,
    permittedNetStressPa: netMPa * PA_PER_MPA,
    capacityN: Math.min(grossAreaMm2 * grossMPa, netAreaMm2 * netMPa),
  };
}

/**
 * Stress of a flat steel band under a tension, on the gross and on the net section.
 *
 *   σ_gross = T / A,   σ_net = T / (η · A)
 *
 * @param tensionN T; @param section η = jointEfficiencyRatio
 * @returns stresses [Pa], tension positive; utilisation is stress over its own limit
 * @throws {EngineError} when the tension is negative or the section is out of range
 * @source is-3370-2 table 4; is-800 working stress of a tie
 */
export function bandStress(tensionN: number, section: BandSection): BandStress {
  requireNotNegative({ tensionN });
  const limits = bandLimits(section);
  const grossStressPa = tensionN / (limits.grossAreaMm2 * M2_PER_MM2);
  const netStressPa = tensionN / (limits.netAreaMm2 * M2_PER_MM2);
  const grossUtilisationRatio = grossStressPa / limits.permittedGrossStressPa;
  const netUtilisationRatio = netStressPa / limits.permittedNetStressPa;
  return {
    grossStressPa,
    netStressPa,
    grossUtilisationRatio,
    netUtilisationRatio,
    utilisationRatio: Math.max(grossUtilisationRatio, netUtilisationRatio),
  };
}

/**
 * Joint efficiency of a strip with one row of bolt or rivet holes across it.
 *
 *   η = (b − n · d₀) / b
 *
 * @param widthMm b, @param holeDiameterMm d₀, @param holesAcross n
 * @throws {EngineError} when the holes leave no metal
 * @source is-800 net section
 */
export function jointEfficiencyRatio(
  widthMm: number,
  holeDiameterMm: number,
  holesAcross = 1,
): number {
  requirePositive({ widthMm });
  requireNotNegative({ holeDiameterMm, holesAcross });
  const left = widthMm - holesAcross * holeDiameterMm;
  if (left <= 0) {
    const limit = `holes across must leave metal in a ${widthMm} mm strip`;
    throw new EngineError('out-of-range', 'holeDiameterMm', holeDiameterMm, limit);
  }
  return left / widthMm;
}
