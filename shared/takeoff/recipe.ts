import type { ConcreteMixName } from './concrete.ts';
import type { Trade } from './labour.ts';
import type { MeasureName } from './measures.ts';
import type { MortarMixName } from './mortar.ts';

/** Unit of a bill line, UNECE Recommendation 20. */
export type UnitCode = 'KGM' | 'MTQ' | 'MTK' | 'MTR' | 'LTR' | 'H87' | 'SET' | 'PR' | 'DAY' | 'C62';

export interface BambooRecipe {
  readonly culmDiameterMm: number;
  readonly culmWallMm: number;
  readonly usableLengthM: number;
  readonly kerfMm: number;
  readonly stripWidthMm: number;
  readonly stripThicknessMm: number;
  readonly splittingLossMm: number;
  /** Strip hoops beside each wall band on each face: 2 is one above and one below. */
  readonly hoopsPerBandAndFace: number;
  readonly hoopLapM: number;
  readonly boardTopTailM: number;
  readonly roofStripTailM: number;
}

export interface BandRecipe {
  readonly lapM: number;
  /** Bands at the springing of the dome, besides those of the wall. */
  readonly springingBandCount: number;
}

export interface TieRecipe {
  readonly hoopTieSpacingM: number;
  readonly tieLengthM: number;
  readonly wireDiameterMm: number;
}

/** Thickness of a layer: fixed, or a share of what the design leaves for mortar. */
export type LayerThickness =
  | { readonly fixedM: number }
  | { readonly shareOfWallMortar: number }
  | { readonly shareOfRoof: number };

interface RecipeLine {
  readonly lineCode: string;
  readonly stageCode: string;
  readonly part: string;
  readonly measure: MeasureName;
}

/** Mortar or concrete: becomes lines of cement, sand, stone and mixing water. */
export interface MixWork extends RecipeLine {
  readonly kind: 'mix';
  readonly mix: MortarMixName | ConcreteMixName;
  /** The measure times this thickness is the volume; without it the measure is the volume. */
  readonly layer?: LayerThickness | undefined;
  /** Volume per unit of the measure, instead of a layer. */
  readonly volumeM3PerMeasure?: number | undefined;
  readonly allowanceRatio?: number | undefined;
}

export interface MaterialWork extends RecipeLine {
  readonly kind: 'material';
  readonly materialCode: string;
  /** Adds the band's size to the material code: steel-band-25x2. */
  readonly sizedByBand?: boolean | undefined;
  readonly unitCode: UnitCode;
  readonly quantityPerMeasure: number;
  readonly wasteRatio: number;
}

export interface LabourWork extends RecipeLine {
  readonly kind: 'labour';
  readonly trade: Trade;
  readonly daysPerMeasure: number;
}

export type RecipeWork = MixWork | MaterialWork | LabourWork;

/**
 * How a kind of tank turns into materials and work. It is data: a second kind of tank is a second
 * recipe and needs no other code.
 */
export interface TakeoffRecipe {
  readonly tankKindCode: string;
  readonly boardThicknessM: number;
  /** Share of the wall's mortar that lies inside the boards; places the bands. */
  readonly insideMortarShareRatio: number;
  /** Null for a kind without bamboo: its bamboo measures are then 0. */
  readonly bamboo: BambooRecipe | null;
  readonly bands: BandRecipe;
  readonly ties: TieRecipe;
  readonly waterCementRatio: number;
  readonly labourEfficiencyRatio: number;
  readonly mixWasteRatios: {
    readonly cement: number;
    readonly sand: number;
    readonly coarseAggregate: number;
    readonly water: number;
  };
  readonly works: readonly RecipeWork[];
}
