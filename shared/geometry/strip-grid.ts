import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import { angleOf, squared } from '../units/same-everywhere.ts';
import { sphericalCap } from './spherical-cap.ts';

export interface DomeStrip {
  readonly offsetM: number;
  /** How many strips of this length lie in one layer: one at the centre, two elsewhere. */
  readonly countPerLayer: number;
  readonly chordHalfLengthM: number;
  readonly arcRadiusM: number;
  readonly riseM: number;
  readonly bottomLayerLengthM: number;
  readonly topLayerLengthM: number;
  readonly topLayerSameAngleLengthM: number;
}

export interface StripGrid {
  readonly strips: readonly DomeStrip[];
  readonly stripsPerLayer: number;
  readonly bottomLayerTotalM: number;
  readonly topLayerTotalM: number;
  readonly topLayerSameAngleTotalM: number;
  readonly chordTotalM: number;
}

export interface StripGridInput {
  readonly planRadiusM: number;
  readonly riseM: number;
  readonly spacingM: number;
  readonly stripThicknessM: number;
}

/** Most strips on each side of the centre strip; finer grids are a mistake of units. Ours. */
const MAX_STRIPS_EACH_SIDE = 400;

/** A strip nearer to the springing circle than this share of the radius has no chord. */
const ZERO_CHORD_RATIO = 1e-9;

function stripAt(offsetM: number, input: StripGridInput, sphereRadiusM: number): DomeStrip {
  const depthM = sphereRadiusM - input.riseM;
  const chordHalfLengthM = Math.sqrt(squared(input.planRadiusM) - squared(offsetM));
  const arcRadiusM = Math.sqrt(squared(sphereRadiusM) - squared(offsetM));
  const topRadiusM = Math.sqrt(squared(sphereRadiusM + input.stripThicknessM) - squared(offsetM));
  const topChordHalfM = Math.sqrt(squared(topRadiusM) - squared(depthM));
  const bottomLayerLengthM = 2 * arcRadiusM * angleOf(chordHalfLengthM, depthM);
  return {
    offsetM,
    countPerLayer: offsetM === 0 ? 1 : 2,
    chordHalfLengthM,
    arcRadiusM,
    riseM: arcRadiusM - depthM,
    bottomLayerLengthM,
    topLayerLengthM: 2 * topRadiusM * angleOf(topChordHalfM, depthM),
    topLayerSameAngleLengthM: (bottomLayerLengthM * topRadiusM) / arcRadiusM,
  };
}

/**
 * Lengths of the strips of a two-way grid on a spherical dome.
 *
 * Strips lie in vertical planes at offsets y = k · s from the centre; the top layer rides on the
 * bottom layer and is cut at the same springing plane.
 *
 *   c = √(r² − y²),   ρ = √(Rs² − y²),   L = 2ρ · asin(c / ρ),   c² + d² = ρ²
 *   top: ρ′ = √((Rs + ts)² − y²),   L′ = 2ρ′ · asin(√(ρ′² − d²) / ρ′)
 *
 * Tails for anchoring and cutting allowance are not included. A strip without a chord is left out.
 *
 * @param input r = planRadiusM, f = riseM, s = spacingM, ts = stripThicknessM
 * @returns one entry per offset k = 0..m [m]; every k ≥ 1 occurs twice in a layer
 * @throws {EngineError} `out-of-range` on a length not above 0, a rise above the radius, a spacing
 *   not below the radius or a grid of more than 801 strips
 * @source plane-geometry
 */
export function stripGrid(input: StripGridInput): StripGrid {
  const { planRadiusM, riseM, spacingM, stripThicknessM } = input;
  requirePositive({ spacingM });
  requireNotNegative({ stripThicknessM });
  const { sphereRadiusM } = sphericalCap(planRadiusM, riseM);
  if (spacingM >= planRadiusM) {
    throw new EngineError('out-of-range', 'spacingM', spacingM, `must be below ${planRadiusM}`);
  }
  const usableM = planRadiusM * (1 - ZERO_CHORD_RATIO);
  const eachSide = Math.ceil(usableM / spacingM) - 1;
  if (eachSide > MAX_STRIPS_EACH_SIDE) {
    const least = planRadiusM / MAX_STRIPS_EACH_SIDE;
    throw new EngineError('out-of-range', 'spacingM', spacingM, `must be at least ${least}`);
  }
  const strips = Array.from({ length: eachSide + 1 }, (_, k) =>
    stripAt(k * spacingM, input, sphereRadiusM),
  );
  const total = (length: (strip: DomeStrip) => number): number =>
    strips.reduce((sum, strip) => sum + strip.countPerLayer * length(strip), 0);
  return {
    strips,
    stripsPerLayer: 2 * eachSide + 1,
    bottomLayerTotalM: total((strip) => strip.bottomLayerLengthM),
    topLayerTotalM: total((strip) => strip.topLayerLengthM),
    topLayerSameAngleTotalM: total((strip) => strip.topLayerSameAngleLengthM),
    chordTotalM: total((strip) => 2 * strip.chordHalfLengthM),
  };
}
