import { bandTensionN } from '../structure/band-loads.ts';
import { impulsiveBandTensionN } from '../structure/earthquake-load.ts';
import { verticalSpan } from '../structure/vertical-span.ts';

/** Levels are set out with a tape, to the centimetre. Ours. */
const LEVELS_PER_M = 100;

export interface BandLevelWall {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  /** Horizontal acceleration over gravity of an earthquake; 0 when none is checked. */
  readonly impulsiveCoefficient: number;
}

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
  /** Bending of the wall between two depths [Pa]. */
  spanStressPa(topM: number, bottomM: number): number;
}

/**
 * The levels of a wall at which a band may lie, with the forces above every level and every middle
 * between two.
 *
 * @throws {EngineError} when a length is not above 0 or the coefficient is negative
 * @source tributary-load; gsdma-2007 section 4.9
 */
export function bandLevelGrid(wall: BandLevelWall): BandLevelGrid {
  const { insideDiameterM, waterDepthM, wallThicknessM, impulsiveCoefficient } = wall;
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
  return {
    wall,
    lowest,
    depthM: (level) => level / LEVELS_PER_M,
    stillForceN,
    shakenForceN,
    spanStressPa: (topM, bottomM) =>
      bottomM > topM ? verticalSpan(topM, bottomM, wallThicknessM).bendingStressPa : 0,
  };
}
