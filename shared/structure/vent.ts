import { requirePositive } from '../errors.ts';

const DISCHARGE_COEFFICIENT = 0.6;
const AIR_DENSITY_KG_PER_M3 = 1.2;

/** Suction that a vent may build up. Ours. */
export const VENT_PRESSURE_PA = 10;

/** Mesh over a vent closes about half of it. Ours. */
export const VENT_SCREEN_RATIO = 2;

export interface VentSize {
  readonly areaMm2: number;
  readonly boreMm: number;
  readonly screenedAreaMm2: number;
}

/**
 * Opening through which air must pass as fast as water leaves or enters.
 *
 *   A = Q / (Cd · √(2Δp/ρ)),  Cd = 0.6, Δp = 10 Pa, ρ = 1.2 kg/m³
 *
 * @param flowLPerS Q of the water
 * @returns free area [mm²], bore of a round vent [mm], area with mesh over it [mm²]
 * @throws {EngineError} when a value is not above 0
 * @source orifice-law
 */
export function ventSize(flowLPerS: number, pressurePa: number = VENT_PRESSURE_PA): VentSize {
  requirePositive({ flowLPerS, pressurePa });
  const speedMPerS = Math.sqrt((2 * pressurePa) / AIR_DENSITY_KG_PER_M3);
  const areaMm2 = (flowLPerS * 1e-3 * 1e6) / (DISCHARGE_COEFFICIENT * speedMPerS);
  return {
    areaMm2,
    boreMm: Math.sqrt((4 * areaMm2) / Math.PI),
    screenedAreaMm2: areaMm2 * VENT_SCREEN_RATIO,
  };
}
