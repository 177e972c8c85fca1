import { lineAmount, money } from '../costing/money.ts';
import { EngineError, requirePositive, requireWithin } from '../errors.ts';
import { SLAB_PRACTICE } from '../structure/slab-practice.ts';
import type { SoilClass } from '../structure/soil-bearing.ts';
import { BAMBOO_BAND_MORTAR_RECIPE } from '../takeoff/bamboo-band-mortar-recipe.ts';
import type { TakeoffRecipe } from '../takeoff/recipe.ts';
import type { CostBasis, MaterialPrice, PurchasableBand } from './tank-cost.ts';
import type { TankDesignInput, TankDomeInput } from './tank-design-input.ts';

/** Values to try: from, from + step, … up to `to`. */
export interface SearchRange {
  readonly from: number;
  readonly to: number;
  readonly step: number;
}

type DomeWishes = { readonly [Name in keyof TankDomeInput]?: TankDomeInput[Name] | undefined };

export interface TankProposalInput {
  /** Water that must fit between the tap and the overflow [L]. */
  readonly leastCapacityL: number;
  /** Depth that cannot be drawn: below the tap and above the overflow; 0 unless given. */
  readonly unusableDepthM?: number | undefined;
  readonly bandSections: readonly PurchasableBand[];
  readonly prices: readonly MaterialPrice[];
  readonly currency: string;
  /** Equal tanks bought for at once; 1 unless given. */
  readonly tankCount?: number | undefined;
  /** 0.9 unless given: above it an engineer must review the design. */
  readonly maxUtilisationRatio?: number | undefined;
  readonly insideDiameterM?: SearchRange | undefined;
  readonly waterDepthM?: SearchRange | undefined;
  readonly wallThicknessM?: SearchRange | undefined;
  /** Rise: 0.16 of the diameter to the centimetre unless given. */
  readonly dome?: DomeWishes | undefined;
  readonly slab?:
    | { readonly projectionM?: number | undefined; readonly thicknessM?: number | undefined }
    | undefined;
  readonly poissonRatio?: number | undefined;
  readonly mortarModulusPa?: number | undefined;
  readonly soilClass?: SoilClass | undefined;
  readonly windSpeedMPerS?: number | undefined;
  readonly seismic?: TankDesignInput['seismic'];
  /** Take-off of the kind of tank; bamboo, steel bands and mortar unless given. */
  readonly recipe?: TakeoffRecipe | undefined;
}

/** Ranges searched unless others are given. Depths stay below the review trigger of 2 m. Ours. */
export const PROPOSAL_DEFAULTS = {
  unusableDepthM: 0,
  tankCount: 1,
  maxUtilisationRatio: 0.9,
  insideDiameterM: { from: 1, to: 3.4, step: 0.1 },
  waterDepthM: { from: 0.6, to: 2, step: 0.05 },
  wallThicknessM: { from: 0.04, to: 0.08, step: 0.005 },
  domeRiseRatio: 0.16,
  domeThicknessM: 0.04,
  domeGridSpacingM: 0.15,
  slabProjectionM: SLAB_PRACTICE.projectionMm / 1000,
  slabThicknessM: 0.1,
} as const;

/** Most values of one range, band sections, and diameters times walls. Ours. */
export const PROPOSAL_LIMITS = {
  values: 60,
  bandSections: 20,
  shapes: 800,
  tankCount: 10_000,
} as const;

/** The input with its defaults, and every range written out. */
export interface ProposalSpace {
  readonly input: TankProposalInput;
  readonly leastCapacityL: number;
  readonly unusableDepthM: number;
  readonly tankCount: number;
  readonly maxUtilisationRatio: number;
  readonly recipe: TakeoffRecipe;
  readonly diametersM: readonly number[];
  readonly depthsM: readonly number[];
  readonly wallsM: readonly number[];
}

/** Whole micrometres, so that 0.1 + 0.2 is 0.3. */
const rounded = (valueM: number): number => Math.round(valueM * 1e6) / 1e6;

function valuesOf(name: string, { from, to, step }: SearchRange): number[] {
  requirePositive({ [`${name}.from`]: from, [`${name}.to`]: to, [`${name}.step`]: step });
  if (to < from) {
    throw new EngineError('inconsistent', `${name}.to`, to, `must not be below from, ${from}`);
  }
  const count = Math.floor((to - from) / step + 1e-9) + 1;
  if (count > PROPOSAL_LIMITS.values) {
    const limit = `gives ${count} values; ${PROPOSAL_LIMITS.values} are the most`;
    throw new EngineError('out-of-range', `${name}.step`, step, limit);
  }
  return Array.from({ length: count }, (_, i) => rounded(from + i * step));
}

/**
 * Fills in the defaults of a proposal and writes out what is to be tried.
 *
 * @throws {EngineError} naming the field, its value and the limit
 * @source own-tank-proposal
 */
export function proposalSpace(input: TankProposalInput): ProposalSpace {
  const defaults = PROPOSAL_DEFAULTS;
  const unusableDepthM = input.unusableDepthM ?? defaults.unusableDepthM;
  const tankCount = input.tankCount ?? defaults.tankCount;
  const maxUtilisationRatio = input.maxUtilisationRatio ?? defaults.maxUtilisationRatio;
  requireWithin('leastCapacityL', input.leastCapacityL, 1, 22_000);
  requireWithin('unusableDepthM', unusableDepthM, 0, 1);
  requireWithin('tankCount', tankCount, 1, PROPOSAL_LIMITS.tankCount);
  requireWithin('maxUtilisationRatio', maxUtilisationRatio, 0.1, 1);
  if (!Number.isInteger(tankCount)) {
    throw new EngineError('out-of-range', 'tankCount', tankCount, 'must be a whole number');
  }
  requireWithin('bandSections.length', input.bandSections.length, 1, PROPOSAL_LIMITS.bandSections);
  for (const [index, { stockLengthM, pricePerLength }] of input.bandSections.entries()) {
    requirePositive({ [`bandSections[${index}].stockLengthM`]: stockLengthM });
    money(pricePerLength, input.currency);
  }
  for (const { unitRate } of input.prices) lineAmount('1', unitRate, input.currency);
  const diametersM = valuesOf('insideDiameterM', input.insideDiameterM ?? defaults.insideDiameterM);
  const depthsM = valuesOf('waterDepthM', input.waterDepthM ?? defaults.waterDepthM);
  const wallsM = valuesOf('wallThicknessM', input.wallThicknessM ?? defaults.wallThicknessM);
  if (diametersM.length * wallsM.length > PROPOSAL_LIMITS.shapes) {
    const limit = `with the diameters must give at most ${PROPOSAL_LIMITS.shapes} shapes`;
    throw new EngineError('out-of-range', 'wallThicknessM', wallsM.length, limit);
  }
  return {
    input,
    leastCapacityL: input.leastCapacityL,
    unusableDepthM,
    tankCount,
    maxUtilisationRatio,
    recipe: input.recipe ?? BAMBOO_BAND_MORTAR_RECIPE,
    diametersM,
    depthsM,
    wallsM,
  };
}

export const costBasis = ({ recipe, tankCount, input }: ProposalSpace): CostBasis => ({
  recipe,
  tankCount,
  prices: input.prices,
  currency: input.currency,
});

/** A tank to be tried: its shape, the section of its bands and how they lie. */
export interface TankShape {
  readonly insideDiameterM: number;
  readonly waterDepthM: number;
  readonly wallThicknessM: number;
}

/**
 * The design of a shape with its bands, dome and slab by the rules of the proposal.
 *
 * @source own-tank-proposal
 */
export function designOf(
  { input }: Pick<ProposalSpace, 'input'>,
  shape: TankShape,
  band: PurchasableBand,
  arrangement: Pick<TankDesignInput['bands'], 'spacing' | 'count' | 'levelsBelowWaterM'>,
): TankDesignInput {
  const defaults = PROPOSAL_DEFAULTS;
  const { dome, slab } = input;
  const { widthMm, thicknessMm, yieldStrengthMPa, jointEfficiencyRatio } = band;
  const riseM = Math.round(defaults.domeRiseRatio * shape.insideDiameterM * 100) / 100;
  const projectionM = slab?.projectionM ?? defaults.slabProjectionM;
  return {
    ...shape,
    ...(input.poissonRatio === undefined ? {} : { poissonRatio: input.poissonRatio }),
    ...(input.mortarModulusPa === undefined ? {} : { mortarModulusPa: input.mortarModulusPa }),
    bands: { widthMm, thicknessMm, yieldStrengthMPa, jointEfficiencyRatio, ...arrangement },
    dome: {
      riseM: dome?.riseM ?? riseM,
      thicknessM: dome?.thicknessM ?? defaults.domeThicknessM,
      gridSpacingM: dome?.gridSpacingM ?? defaults.domeGridSpacingM,
      ...(dome?.stripThicknessMm === undefined ? {} : { stripThicknessMm: dome.stripThicknessMm }),
      ...(dome?.liveLoadPa === undefined ? {} : { liveLoadPa: dome.liveLoadPa }),
    },
    slab: {
      diameterM: rounded(shape.insideDiameterM + 2 * shape.wallThicknessM + 2 * projectionM),
      thicknessM: slab?.thicknessM ?? defaults.slabThicknessM,
    },
    ...(input.soilClass === undefined ? {} : { soilClass: input.soilClass }),
    ...(input.windSpeedMPerS === undefined ? {} : { windSpeedMPerS: input.windSpeedMPerS }),
    ...(input.seismic === undefined ? {} : { seismic: input.seismic }),
  };
}
