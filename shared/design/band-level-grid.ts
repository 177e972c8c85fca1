import { bandTensionN } from '../structure/band-loads.ts';
import { impulsiveBandTensionN } from '../structure/earthquake-load.ts';
import { MORTAR_BENDING_TENSION_LIMIT_PA } from '../structure/mortar-limits.ts';
import { maxBandSpacingM, verticalSpan } from '../structure/vertical-span.ts';

/** Levels are set out with a tape, to the centimetre. Ours. */
const LEVELS_PER_M = 100;

export interface BandLevelWall {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  /** Horizontal acceleration over gravity of an earthquake; 0 when none is checked. */
  readonly impulsiveCoefficient: number;
}

/** How far the wall may span between bands within a utilisation, whatever the bands are. */
export interface BandLevelReach {
  /** Whether two neighbours may lie so far apart, by the arithmetic of the check itself. */
  isNear(distanceM: number): boolean;
  /** By level: the lowest one that a neighbour below may take. */
  readonly lowestBelow: Int32Array;
  /** The lowest level of the first band, and the highest of the last. */
  readonly lowestFirst: number;
  readonly highestLast: number;
}

/** Rounding kept clear of a limit of force or stress, so that the checks agree. */
export const LIMIT_SLACK = 1e-9;

/** A wall with its possible band levels, numbered from the surface down. */
export interface BandLevelGrid {
  readonly wall: BandLevelWall;
  /** Number of the lowest level. */
  readonly lowest: number;
  depthM(level: number): number;
  /** Hoop force of the water above a depth [N]; depths in half levels, the last is the floor. */
  readonly stillForceN: Float64Array;
  /** The same with the impulsive pressure of the earthquake. */
  readonly shakenForceN: Float64Array;
  reachWithin(utilisationRatio: number): BandLevelReach;
}

/**
 * The levels of a wall at which a band may lie, with the forces above every level and every middle
 * between two.
 *
 * @throws {EngineError} when a length is not above 0 or the coefficient is negative
 * @source tributary-load; gsdma-2007 section 4.9
 */
export function bandLevelGrid(wall: BandLevelWall): BandLevelGrid {
  const { insideDiameterM, waterDepthM, impulsiveCoefficient } = wall;
  const lowest = Math.floor(waterDepthM * LEVELS_PER_M + 1e-9);
  const stillForceN = new Float64Array(2 * lowest + 2);
  const shakenForceN = new Float64Array(2 * lowest + 2);
  for (let half = 0; half < stillForceN.length; half += 1) {
    const isFloor = half === stillForceN.length - 1;
    const toDepthM = isFloor ? waterDepthM : Math.min(half / (2 * LEVELS_PER_M), waterDepthM);
    const zone = { fromDepthM: 0, toDepthM };
    const stillN = bandTensionN(zone, insideDiameterM / 2);
    stillForceN[half] = stillN;
    shakenForceN[half] =
      impulsiveCoefficient > 0
        ? stillN + impulsiveBandTensionN(insideDiameterM, waterDepthM, zone, impulsiveCoefficient)
        : stillN;
  }
  const depthM = (level: number) => level / LEVELS_PER_M;
  const reaches = new Map<number, BandLevelReach>();
  return {
    wall,
    lowest,
    depthM,
    stillForceN,
    shakenForceN,
    reachWithin(utilisationRatio) {
      const known = reaches.get(utilisationRatio);
      if (known) return known;
      const reach = reachOf(wall, lowest, depthM, utilisationRatio);
      reaches.set(utilisationRatio, reach);
      return reach;
    },
  };
}

function reachOf(
  { waterDepthM, wallThicknessM }: BandLevelWall,
  lowest: number,
  depthM: (level: number) => number,
  utilisationRatio: number,
): BandLevelReach {
  const farthestM = maxBandSpacingM(wallThicknessM);
  const isNear = (distanceM: number) => distanceM / farthestM <= utilisationRatio;
  const mostPa = utilisationRatio * (1 - LIMIT_SLACK) * MORTAR_BENDING_TENSION_LIMIT_PA;
  const spans = (topM: number, bottomM: number) =>
    bottomM <= topM ||
    (isNear(bottomM - topM) &&
      verticalSpan(topM, bottomM, wallThicknessM).bendingStressPa <= mostPa);

  // A deeper start never ends higher, so that one sweep finds all ends.
  const lowestBelow = new Int32Array(lowest + 1);
  let end = 0;
  for (let level = 0; level <= lowest; level += 1) {
    end = Math.max(end, level);
    while (end < lowest && spans(depthM(level), depthM(end + 1))) end += 1;
    lowestBelow[level] = end;
  }
  let highestLast = lowest + 1;
  while (highestLast > 0 && spans(depthM(highestLast - 1), waterDepthM)) highestLast -= 1;
  return { isNear, lowestBelow, lowestFirst: lowestBelow[0] ?? 0, highestLast };
}
