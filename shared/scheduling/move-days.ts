import { requireWithin } from '../errors.ts';

/** Degrees, north and east positive. */
export interface PlacePosition {
  readonly latDeg: number;
  readonly lonDeg: number;
}

/** How a crew moves house: a cart or a lorry on rural roads. */
export interface CrewMoving {
  /** Way over the straight line; at least 1. */
  readonly detourRatio: number;
  readonly speedKmPerH: number;
  /** Packing, loading and making camp. */
  readonly packingHours: number;
}

/** Mean radius R1 of the earth. */
const EARTH_RADIUS_KM = 6371.0088;
const HOURS_OF_A_DAY = 8;
const RADIANS_OF_DEGREE = Math.PI / 180;

/**
 * Great-circle distance by the haversine:
 *
 *     d = 2R·asin √(sin²(Δφ/2) + cos φ₁·cos φ₂·sin²(Δλ/2))
 *
 * @throws {EngineError} `out-of-range` for a latitude or longitude off the globe
 * @source haversine
 */
export function greatCircleKm(from: PlacePosition, to: PlacePosition): number {
  for (const { latDeg, lonDeg } of [from, to]) {
    requireWithin('latDeg', latDeg, -90, 90);
    requireWithin('lonDeg', lonDeg, -180, 180);
  }
  const halfLat = ((to.latDeg - from.latDeg) * RADIANS_OF_DEGREE) / 2;
  const halfLon = ((to.lonDeg - from.lonDeg) * RADIANS_OF_DEGREE) / 2;
  const square =
    Math.sin(halfLat) ** 2 +
    Math.cos(from.latDeg * RADIANS_OF_DEGREE) *
      Math.cos(to.latDeg * RADIANS_OF_DEGREE) *
      Math.sin(halfLon) ** 2;
  return 2 * EARTH_RADIUS_KM * Math.asin(Math.min(1, Math.sqrt(square)));
}

/**
 * Whole days that a crew loses to a move: way and packing in hours over a day of eight hours, rounded
 * up; one day where a position is not known.
 *
 *     days = ⌈(detour·d/v + packing)/8⌉
 *
 * @throws {EngineError} `out-of-range` naming the field
 * @source tank-practice a move costs days, not hours
 */
export function moveDays(
  from: PlacePosition | null,
  to: PlacePosition | null,
  moving: CrewMoving,
): number {
  requireWithin('detourRatio', moving.detourRatio, 1, 5);
  requireWithin('speedKmPerH', moving.speedKmPerH, 0.1, 200);
  requireWithin('packingHours', moving.packingHours, 0, 1000);
  if (from === null || to === null) return 1;
  const wayHours = (moving.detourRatio * greatCircleKm(from, to)) / moving.speedKmPerH;
  return Math.ceil((wayHours + moving.packingHours) / HOURS_OF_A_DAY);
}
