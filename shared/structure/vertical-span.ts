import { requireNotNegative, requirePositive } from '../errors.ts';
import { squared } from '../units/same-everywhere.ts';
import { hydrostaticPressurePa } from './hydrostatic.ts';

/** Moment of a continuous strip, M = p · s² / 10. Ours, between the usual 8 and 12. */
const CONTINUOUS_MOMENT_DIVISOR = 10;
/** Longest span of plain mortar in wall thicknesses. Ours. */
const MAX_SPAN_THICKNESSES = 12;
/** Longest distance between neighbouring bands whatever the thickness. Ours. */
const MAX_BAND_SPACING_M = 0.6;

export interface VerticalSpan {
  readonly spanM: number;
  readonly pressurePa: number;
  readonly momentNmPerM: number;
  readonly bendingStressPa: number;
}

/**
 * Bending of the wall as a vertical strip between two bands.
 *
 *   M = p · s² / 10 with p at the middle of the span,   σ = 6M / t²
 *
 * @param topDepthM, @param bottomDepthM ends of the span below the water surface
 * @param wallThicknessM t
 * @returns span [m], pressure [Pa], moment [N·m/m], bending stress [Pa]
 * @throws {EngineError} when a depth is negative or the span is not above 0
 * @source project-limit continuous strip
 */
export function verticalSpan(
  topDepthM: number,
  bottomDepthM: number,
  wallThicknessM: number,
): VerticalSpan {
  requireNotNegative({ topDepthM, bottomDepthM });
  const spanM = bottomDepthM - topDepthM;
  requirePositive({ spanM, wallThicknessM });
  const pressurePa = hydrostaticPressurePa((topDepthM + bottomDepthM) / 2);
  const momentNmPerM = (pressurePa * squared(spanM)) / CONTINUOUS_MOMENT_DIVISOR;
  return {
    spanM,
    pressurePa,
    momentNmPerM,
    bendingStressPa: (6 * momentNmPerM) / squared(wallThicknessM),
  };
}

/**
 * Largest distance between neighbouring bands: 12 wall thicknesses, never more than 600 mm.
 *
 * @param wallThicknessM t
 * @returns distance [m]
 * @throws {EngineError} when the thickness is not above 0
 * @source project-limit band spacing
 */
export function maxBandSpacingM(wallThicknessM: number): number {
  requirePositive({ wallThicknessM });
  return Math.min(MAX_SPAN_THICKNESSES * wallThicknessM, MAX_BAND_SPACING_M);
}
