import type { TankDesignInput } from '../design/tank-design-input.ts';
import { EngineError, requireNotNegative, requireWithin } from '../errors.ts';

export const FITTING_KINDS = ['inlet', 'overflow', 'washout', 'tap', 'hatch'] as const;

export type FittingKind = (typeof FITTING_KINDS)[number];

/** Where a fitting sits. Bearings run clockwise from north, in degrees. */
export interface Fitting {
  readonly kind: FittingKind;
  readonly bearingDeg: number;
  /** To its middle, or for a pipe through the wall to the inside face. */
  readonly fromCentreM: number;
  /** Lip of the overflow, middle of the other pipes; null for what sits in the dome. */
  readonly aboveFloorM: number | null;
  /** Clear side of a square hatch; null for pipes, whose bore the rain decides. */
  readonly clearSideM: number | null;
}

/** Clear side of the hatch of a tank wide enough for it. Common practice: 0.56 to 0.60 m. */
const HATCH_SIDE_M = 0.56;
const HATCH_EDGE_M = 0.05;
/** Lip of the overflow below the springing, where the design water depth ends. */
const OVERFLOW_BELOW_SPRINGING_M = 0.05;
const TAP_ABOVE_FLOOR_M = 0.15;
const INLET_RADIUS_RATIO = 0.75;

/** Most fittings of one plan. Ours. */
const MAX_FITTINGS = 12;

const floorTo5Cm = (lengthM: number): number => Math.floor(lengthM * 20 + 1e-9) / 20;
const floorToCm = (lengthM: number): number => Math.floor(lengthM * 100 + 1e-9) / 100;

/**
 * Places of the fittings by common practice, to be turned on the site so that the inlet meets the
 * downpipe of the roof: inlet at north, away from the tap at south, so that what the water carries
 * settles between them; overflow to the side, its lip 50 mm below the springing; washout at the
 * floor beside the tap; hatch in the dome, no wider than half of the tank.
 *
 * @returns bearings [deg clockwise from north], distances and heights [m]
 * @source fitting-practice
 */
export function proposedFittings(
  design: Pick<TankDesignInput, 'insideDiameterM' | 'waterDepthM'>,
): Fitting[] {
  const radiusM = design.insideDiameterM / 2;
  const clearSideM = Math.min(HATCH_SIDE_M, floorTo5Cm(radiusM));
  const hatchReachM = radiusM - clearSideM * Math.SQRT1_2 - HATCH_EDGE_M;
  const pipe = { fromCentreM: radiusM, clearSideM: null };
  return [
    {
      kind: 'inlet',
      bearingDeg: 0,
      fromCentreM: floorToCm(radiusM * INLET_RADIUS_RATIO),
      aboveFloorM: null,
      clearSideM: null,
    },
    {
      kind: 'overflow',
      bearingDeg: 90,
      aboveFloorM: design.waterDepthM - OVERFLOW_BELOW_SPRINGING_M,
      ...pipe,
    },
    { kind: 'washout', bearingDeg: 135, aboveFloorM: 0, ...pipe },
    { kind: 'tap', bearingDeg: 180, aboveFloorM: TAP_ABOVE_FLOOR_M, ...pipe },
    {
      kind: 'hatch',
      bearingDeg: 225,
      fromCentreM: floorToCm(Math.max(0, Math.min(hatchReachM, radiusM / 2))),
      aboveFloorM: null,
      clearSideM,
    },
  ];
}

/**
 * Throws unless every fitting lies on the tank.
 *
 * @throws {EngineError} naming the fitting's field, its value and the limit
 * @source fitting-practice
 */
export function requireFittings(
  fittings: readonly Fitting[],
  design: Pick<TankDesignInput, 'insideDiameterM' | 'waterDepthM'>,
): void {
  requireWithin('fittings.length', fittings.length, 0, MAX_FITTINGS);
  fittings.forEach((fitting, index) => {
    const at = (field: string) => `fittings[${index}].${field}`;
    if (!FITTING_KINDS.includes(fitting.kind)) {
      const limit = `must be one of ${FITTING_KINDS.join(', ')}`;
      throw new EngineError('out-of-range', at('kind'), fitting.kind, limit);
    }
    requireWithin(at('bearingDeg'), fitting.bearingDeg, 0, 360);
    requireWithin(at('fromCentreM'), fitting.fromCentreM, 0, design.insideDiameterM / 2);
    if (fitting.aboveFloorM !== null) {
      requireWithin(at('aboveFloorM'), fitting.aboveFloorM, 0, design.waterDepthM);
    }
    requireNotNegative({ [at('clearSideM')]: fitting.clearSideM ?? 0 });
    requireWithin(at('clearSideM'), fitting.clearSideM ?? 0, 0, design.insideDiameterM);
  });
}
