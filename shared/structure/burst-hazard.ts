import { requirePositive } from '../errors.ts';
import { cylinderCapacityL } from '../geometry/cylinder.ts';
import { GRAVITY_M_PER_S2 } from '../units/constants.ts';

/** Beyond one tank height, people stay this much farther away. Ours. */
const CLEARANCE_BEYOND_HEIGHT_M = 1;

export interface BurstHazard {
  readonly storedEnergyJ: number;
  readonly jetSpeedMPerS: number;
  readonly keepClearM: number;
}

/**
 * What a full tank can do when it bursts at the floor.
 *
 *   energy = m · g · H / 2,   jet = √(2gH),   keep clear = H + 1 m
 *
 * @returns energy [J], speed of a jet at the floor [m/s], distance for people [m]
 * @throws {EngineError} when a length is not above 0
 * @source orifice-law; project-limit distance
 */
export function burstHazard(insideDiameterM: number, waterDepthM: number): BurstHazard {
  requirePositive({ insideDiameterM, waterDepthM });
  const massKg = cylinderCapacityL(insideDiameterM, waterDepthM);
  return {
    storedEnergyJ: (massKg * GRAVITY_M_PER_S2 * waterDepthM) / 2,
    jetSpeedMPerS: Math.sqrt(2 * GRAVITY_M_PER_S2 * waterDepthM),
    keepClearM: waterDepthM + CLEARANCE_BEYOND_HEIGHT_M,
  };
}
