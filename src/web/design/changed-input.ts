import type { TankBandsInput, TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import type { Engine } from './worked-design.ts';
import { workedDesign } from './worked-design.ts';

/** Takes the noise of floating-point sums off a length of a tank: to a tenth of a millimetre. */
const rounded = (lengthM: number) => Math.round(lengthM * 1e4) / 1e4;

/** Another inside diameter; the slab keeps its overhang. */
export function withDiameter(input: TankDesignInput, insideDiameterM: number): TankDesignInput {
  const slabDiameterM = rounded(input.slab.diameterM + insideDiameterM - input.insideDiameterM);
  return { ...input, insideDiameterM, slab: { ...input.slab, diameterM: slabDiameterM } };
}

/** Another wall; the slab keeps its overhang beyond the outside of the wall. */
export function withWall(input: TankDesignInput, wallThicknessM: number): TankDesignInput {
  const grownM = 2 * (wallThicknessM - input.wallThicknessM);
  const diameterM = rounded(input.slab.diameterM + grownM);
  return { ...input, wallThicknessM, slab: { ...input.slab, diameterM } };
}

/** Another water depth; levels given one by one keep their height above the floor. */
export function withDepth(input: TankDesignInput, waterDepthM: number): TankDesignInput {
  const grownM = waterDepthM - input.waterDepthM;
  const levels = input.bands.levelsBelowWaterM;
  if (!levels) return { ...input, waterDepthM };
  const kept = levels.map((levelM) => rounded(levelM + grownM)).filter((levelM) => levelM > 0);
  return withLevels({ ...input, waterDepthM }, kept);
}

export const withDomeRise = (input: TankDesignInput, riseM: number): TankDesignInput => ({
  ...input,
  dome: { ...input.dome, riseM },
});

export const withBands = (
  input: TankDesignInput,
  changed: Partial<Pick<TankBandsInput, 'widthMm' | 'thicknessMm'>>,
): TankDesignInput => ({ ...input, bands: { ...input.bands, ...changed } });

/** Another number of bands; where levels are given, the lowest stays and the others spread evenly. */
export function withCount(input: TankDesignInput, count: number): TankDesignInput {
  const levels = input.bands.levelsBelowWaterM;
  if (!levels) return { ...input, bands: { ...input.bands, count } };
  const lowestM = levels.at(-1) ?? input.waterDepthM;
  const spread = Array.from({ length: count }, (_, index) =>
    rounded((lowestM * (index + 1)) / count),
  );
  return withLevels(input, spread);
}

/** The band at a place from the top moved to another level; bands stay in order. */
export function withLevel(input: TankDesignInput, index: number, levelM: number): TankDesignInput {
  const levels = [...(input.bands.levelsBelowWaterM ?? [])];
  levels[index] = levelM;
  return withLevels(
    input,
    levels.sort((a, b) => a - b),
  );
}

function withLevels(input: TankDesignInput, levelsBelowWaterM: readonly number[]): TankDesignInput {
  const { count: _, ...bands } = input.bands;
  return { ...input, bands: { ...bands, spacing: 'given', levelsBelowWaterM } };
}

/** Another way of placing the bands; `given` starts from where they stand now. */
export function withSpacing(
  engine: Engine,
  input: TankDesignInput,
  spacing: TankBandsInput['spacing'],
): TankDesignInput {
  const { levelsBelowWaterM, count, ...bands } = input.bands;
  if (spacing !== 'given') {
    const kept = count ?? levelsBelowWaterM?.length ?? 1;
    return { ...input, bands: { ...bands, spacing, count: kept } };
  }
  const worked = workedDesign(engine, input);
  if (worked.state === 'refused') return input;
  const levels = worked.check.bands.map((band) => rounded(band.levelBelowWaterM));
  return withLevels(input, levels);
}
