import { requirePositive } from '../errors.ts';
import { WATER_UNIT_WEIGHT_N_PER_M3 } from '../units/constants.ts';
import { squared } from '../units/same-everywhere.ts';
import type { CylinderWallInput } from './cylinder-wall.ts';
import { wallDecayLengths, wallSlenderness } from './wall-coefficients.ts';

export interface LongWall {
  readonly decayLengths: number;
  /** Fixed base, negative: tension on the water face. */
  readonly fixedBaseMomentNmPerM: number;
  readonly fixedBaseShearNPerM: number;
  readonly hingedBaseShearNPerM: number;
}

/**
 * Base forces of a tank wall so tall that its top does not feel its base.
 *
 *   M = −γHRt (1 − 1/βH) / √[12(1 − ν²)],   V = γHRt (2β − 1/H) / √[12(1 − ν²)]
 *   hinged V = γH / 2β
 *
 * A cross-check of `cylinderWall`: equal to four figures for H²/Dt ≥ 6, wrong for squat walls.
 *
 * @param input R = insideDiameterM/2, H = waterDepthM, t = wallThicknessM, ν = poissonRatio
 * @returns moment [N·m/m], shears [N/m] positive as the inward hold of the slab
 * @throws {EngineError} when a length is not above 0 or ν lies outside [0, 0.5)
 * @source timoshenko-1959 article 117
 */
export function longWall(input: Omit<CylinderWallInput, 'mortarModulusPa'>): LongWall {
  const { insideDiameterM, waterDepthM: H, wallThicknessM: t, poissonRatio: nu } = input;
  const gamma = input.unitWeightNPerM3 ?? WATER_UNIT_WEIGHT_N_PER_M3;
  requirePositive({ unitWeightNPerM3: gamma });
  const decayLengths = wallDecayLengths(wallSlenderness(H, insideDiameterM, t), nu);
  const beta = decayLengths / H;
  const scale = (gamma * H * (insideDiameterM / 2) * t) / Math.sqrt(12 * (1 - squared(nu)));
  return {
    decayLengths,
    fixedBaseMomentNmPerM: -scale * (1 - 1 / decayLengths),
    fixedBaseShearNPerM: scale * (2 * beta - 1 / H),
    hingedBaseShearNPerM: (gamma * H) / (2 * beta),
  };
}
