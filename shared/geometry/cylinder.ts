import { requirePositive } from '../errors.ts';
import { squared } from '../units/same-everywhere.ts';

const LITRES_PER_M3 = 1000;

/**
 * Water held by an upright cylinder.
 *
 *   V = π/4 · D² · h
 *
 * @param insideDiameterM D, @param waterDepthM h
 * @returns volume [L]
 * @throws {EngineError} when a length is not finite or not above 0
 * @source plane-geometry
 */
export function cylinderCapacityL(insideDiameterM: number, waterDepthM: number): number {
  requirePositive({ insideDiameterM, waterDepthM });
  return (Math.PI / 4) * squared(insideDiameterM) * waterDepthM * LITRES_PER_M3;
}

/**
 * Depth at which an upright cylinder holds a given volume.
 *
 * @returns depth [m]
 * @throws {EngineError} when a value is not finite or not above 0
 * @source plane-geometry
 */
export function depthForCapacityM(insideDiameterM: number, capacityL: number): number {
  requirePositive({ insideDiameterM, capacityL });
  return capacityL / LITRES_PER_M3 / ((Math.PI / 4) * squared(insideDiameterM));
}

export interface CylinderWallVolumes {
  readonly outsideDiameterM: number;
  readonly meanDiameterM: number;
  readonly insideAreaM2: number;
  readonly outsideAreaM2: number;
  readonly wallVolumeM3: number;
  readonly floorAreaM2: number;
}

/**
 * Faces and volume of a cylindrical wall of even thickness.
 *
 *   wall volume = π · (D + t) · t · H
 *
 * @param insideDiameterM D, @param heightM H, @param wallThicknessM t
 * @returns areas of the two faces and of the floor inside [m²], wall volume [m³], diameters [m]
 * @throws {EngineError} when a length is not finite or not above 0
 * @source plane-geometry
 */
export function cylinderWallVolumes(
  insideDiameterM: number,
  heightM: number,
  wallThicknessM: number,
): CylinderWallVolumes {
  requirePositive({ insideDiameterM, heightM, wallThicknessM });
  const outsideDiameterM = insideDiameterM + 2 * wallThicknessM;
  const meanDiameterM = insideDiameterM + wallThicknessM;
  return {
    outsideDiameterM,
    meanDiameterM,
    insideAreaM2: Math.PI * insideDiameterM * heightM,
    outsideAreaM2: Math.PI * outsideDiameterM * heightM,
    wallVolumeM3: Math.PI * meanDiameterM * wallThicknessM * heightM,
    floorAreaM2: circleAreaM2(insideDiameterM),
  };
}

/**
 * Area of a circle of given diameter.
 *
 * @returns area [m²]
 * @throws {EngineError} when the diameter is not finite or not above 0
 * @source plane-geometry
 */
export function circleAreaM2(diameterM: number): number {
  requirePositive({ diameterM });
  return (Math.PI / 4) * squared(diameterM);
}
