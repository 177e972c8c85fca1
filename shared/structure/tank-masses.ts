import { requirePositive } from '../errors.ts';
import { circleAreaM2, cylinderCapacityL, cylinderWallVolumes } from '../geometry/cylinder.ts';
import type { SphericalCap } from '../geometry/spherical-cap.ts';
import { GRAVITY_M_PER_S2 } from '../units/constants.ts';

export const WALL_MORTAR_DENSITY_KG_PER_M3 = 2300;
export const DOME_AND_SLAB_DENSITY_KG_PER_M3 = 2400;

export interface TankMassesInput {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  readonly cap: SphericalCap;
  readonly domeThicknessM: number;
  readonly slabDiameterM: number;
  readonly slabThicknessM: number;
}

export interface TankMasses {
  readonly waterKg: number;
  readonly wallKg: number;
  readonly domeKg: number;
  readonly slabKg: number;
  readonly fullWeightN: number;
  readonly emptyWeightN: number;
}

/**
 * Masses of a tank and its weights full and empty.
 *
 * Mortar of the wall 2,300 kg/m³, dome and slab 2,400 kg/m³; a litre of water is a kilogram.
 * Assumes that bands, bamboo and pipes are small beside the mortar.
 *
 * @throws {EngineError} when a length is not above 0
 * @source worked-example-5000-l
 */
export function tankMasses(input: TankMassesInput): TankMasses {
  requirePositive({ domeThicknessM: input.domeThicknessM, slabThicknessM: input.slabThicknessM });
  const { insideDiameterM, waterDepthM, wallThicknessM } = input;
  const wall = cylinderWallVolumes(insideDiameterM, waterDepthM, wallThicknessM);
  const waterKg = cylinderCapacityL(insideDiameterM, waterDepthM);
  const wallKg = wall.wallVolumeM3 * WALL_MORTAR_DENSITY_KG_PER_M3;
  const domeKg = input.cap.surfaceAreaM2 * input.domeThicknessM * DOME_AND_SLAB_DENSITY_KG_PER_M3;
  const slabKg =
    circleAreaM2(input.slabDiameterM) * input.slabThicknessM * DOME_AND_SLAB_DENSITY_KG_PER_M3;
  const emptyWeightN = (wallKg + domeKg + slabKg) * GRAVITY_M_PER_S2;
  return {
    waterKg,
    wallKg,
    domeKg,
    slabKg,
    fullWeightN: emptyWeightN + waterKg * GRAVITY_M_PER_S2,
    emptyWeightN,
  };
}
