import { requirePositive } from '../errors.ts';
import { midpointBandZones } from './band-levels.ts';
import { bandTensionsN } from './band-loads.ts';
import { type BandSection, bandStress } from './band-stress.ts';
import { verticalSpan } from './vertical-span.ts';

export interface LostBand {
  readonly lostLevelBelowWaterM: number;
  readonly remainingLevelsBelowWaterM: readonly number[];
  readonly loadsN: readonly number[];
  /** Of the most loaded band that is left, or null when none is left. */
  readonly maxUtilisationRatio: number | null;
  /** Bending of the wall over the longest span that is left, springing and floor included. */
  readonly wallBendingStressPa: number;
}

export interface LostBandInput {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
  readonly levelsBelowWaterM: readonly number[];
  readonly section: BandSection;
}

/**
 * How the neighbours take over when one band is lost, for each band in turn.
 *
 * The bands that are left share the wall by the midpoint rule, and the wall has to span the gap.
 * A lost band always calls for an engineer, whatever the numbers say.
 *
 * @returns one entry for each band, from the surface down; loads [N], bending [Pa]
 * @throws {EngineError} when a level lies outside the wall or out of order, or a size out of range
 * @source tributary-load
 */
export function lostBandLoads(input: LostBandInput): LostBand[] {
  const { insideDiameterM, waterDepthM, wallThicknessM, levelsBelowWaterM } = input;
  requirePositive({ insideDiameterM, wallThicknessM });
  midpointBandZones(waterDepthM, levelsBelowWaterM);
  return levelsBelowWaterM.map((lost, i) => {
    const left = levelsBelowWaterM.filter((_, k) => k !== i);
    const ends = [0, ...left, waterDepthM];
    const bendings = ends.slice(1).flatMap((end, k) => {
      const top = ends[k] ?? end;
      return end > top ? [verticalSpan(top, end, wallThicknessM).bendingStressPa] : [];
    });
    const loadsN =
      left.length === 0
        ? []
        : bandTensionsN(midpointBandZones(waterDepthM, left), insideDiameterM / 2);
    const ratios = loadsN.map((loadN) => bandStress(loadN, input.section).utilisationRatio);
    return {
      lostLevelBelowWaterM: lost,
      remainingLevelsBelowWaterM: left,
      loadsN,
      maxUtilisationRatio: ratios.length === 0 ? null : Math.max(...ratios),
      wallBendingStressPa: Math.max(...bendings),
    };
  });
}
