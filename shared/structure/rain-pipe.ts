import { requirePositive, requireWithin } from '../errors.ts';

/** Runoff coefficient of a metal or tiled roof; 1 for the design of an overflow. */
export const ROOF_RUNOFF_RATIO = 0.9;

/** Rain intensity below which an overflow in the tropics should not be designed. Ours. */
export const LEAST_OVERFLOW_RAIN_MM_PER_H = 150;

/**
 * Peak flow from a roof.
 *
 *   Q = C · i · A / 3600
 *
 * @param roofAreaM2 A in plan, @param rainMmPerH i, @param runoffRatio C
 * @returns flow [L/s]
 * @throws {EngineError} when area or rain is not above 0 or C lies outside (0, 1]
 * @source en-12056-3 rational formula
 */
export function peakRoofFlowLPerS(
  roofAreaM2: number,
  rainMmPerH: number,
  runoffRatio: number = ROOF_RUNOFF_RATIO,
): number {
  requirePositive({ roofAreaM2, rainMmPerH, runoffRatio });
  requireWithin('runoffRatio', runoffRatio, 0, 1);
  return (runoffRatio * rainMmPerH * roofAreaM2) / 3600;
}

/** Roughness of a rainwater pipe. */
const PIPE_ROUGHNESS_MM = 0.25;
/** Filling at which the plumbing code's vertical leaders are rated. */
export const PLUMBING_CODE_FILLING_RATIO = 7 / 24;
/** Usual and cautious filling of the European equation. */
export const EUROPEAN_FILLING_RATIO = 0.33;
export const CAUTIOUS_FILLING_RATIO = 0.2;

/**
 * Capacity of a vertical rainwater pipe.
 *
 *   Q = 2.5·10⁻⁴ · k_b^−0.167 · d^2.667 · f^1.667
 *
 * @param boreMm d, inside diameter; @param fillingRatio f
 * @returns flow [L/s]
 * @throws {EngineError} when the bore is not above 0 or f lies outside (0, 1]
 * @source en-12056-3 Wyly-Eaton equation
 */
export function verticalPipeFlowLPerS(
  boreMm: number,
  fillingRatio: number = EUROPEAN_FILLING_RATIO,
): number {
  requirePositive({ boreMm, fillingRatio });
  requireWithin('fillingRatio', fillingRatio, 0, 1);
  return 2.5e-4 * PIPE_ROUGHNESS_MM ** -0.167 * boreMm ** 2.667 * fillingRatio ** 1.667;
}

/**
 * Roof area that one vertical pipe may serve, the most cautious of the three sources.
 *
 *   A = 0.084 · d^2.5 / i
 *
 * @param boreMm d, @param rainMmPerH i
 * @returns roof area in plan [m²]
 * @throws {EngineError} when a value is not above 0
 * @source nbc-india-9
 */
export function roofAreaForPipeM2(boreMm: number, rainMmPerH: number): number {
  requirePositive({ boreMm, rainMmPerH });
  return (0.084 * boreMm ** 2.5) / rainMmPerH;
}
