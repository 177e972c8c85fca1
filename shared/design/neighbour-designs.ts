import { type Money, subtractMoney } from '../costing/money.ts';
import { MAX_BAND_COUNT } from '../structure/band-levels.ts';
import { bestBandLevels, fewestBandLevels } from './band-level-search.ts';
import { type DesignStop, limitStop, tryDesign } from './design-trial.ts';
import { leastDepthM, levelGridOf, type ProposalCandidate } from './proposal-candidates.ts';
import { costBasis, designOf, type ProposalSpace, type TankShape } from './proposal-input.ts';
import { type PurchasableBand, tankCost } from './tank-cost.ts';
import type { TankDesignInput } from './tank-design-input.ts';

export const NEIGHBOUR_CHANGES = [
  'one-band-fewer',
  'even-spacing',
  'equal-load-spacing',
  'thinner-wall',
  'thicker-wall',
  'lower-wall',
  'narrower',
  'wider',
  'lighter-section',
  'lighter-section-more-bands',
  'heavier-section',
] as const;

export type NeighbourChange = (typeof NEIGHBOUR_CHANGES)[number];

/** A design one step away from the proposal, and why it was not proposed. */
export interface NeighbourDesign {
  readonly change: NeighbourChange;
  /** Null when there is no such design at all. */
  readonly design: TankDesignInput | null;
  /** Null when it cannot be priced. */
  readonly cost: Money | null;
  /** Its cost less that of the proposal. */
  readonly costDifference: Money | null;
  readonly outcome: 'rejected' | 'not-cheaper';
  /** What stopped it, worst first; none when it is only not cheaper. */
  readonly stoppedBy: readonly DesignStop[];
}

type Arrangement = Pick<TankDesignInput['bands'], 'spacing' | 'count' | 'levelsBelowWaterM'>;

interface Variant {
  readonly change: NeighbourChange;
  readonly shape: TankShape;
  readonly band: PurchasableBand;
  /** Null: no arrangement of such bands exists. */
  readonly arrangement: Arrangement | null;
  /** A range of the search that the variant leaves. */
  readonly outside?: DesignStop;
}

const areaMm2 = ({ widthMm, thicknessMm }: PurchasableBand): number => widthMm * thicknessMm;

/** The value before and after one in a list, and the same list's step beyond its ends. */
function stepsFrom(values: readonly number[], value: number) {
  const at = values.indexOf(value);
  return { before: values[at - 1] ?? null, after: values[at + 1] ?? null };
}

function outside(parameter: string, values: readonly number[], value: number): DesignStop {
  const limit = `the search went from ${values[0]} to ${values.at(-1)}`;
  return { kind: 'limit', parameter, value, limit };
}

function variantsOf(space: ProposalSpace, proposal: ProposalCandidate): Variant[] {
  const { shape, band, count } = proposal;
  const given = (levels: readonly number[] | null): Arrangement | null =>
    levels === null ? null : { spacing: 'given', levelsBelowWaterM: levels };
  const best = (of: TankShape, section: PurchasableBand, bands: number) =>
    given(bestBandLevels(levelGridOf(space, of), section, bands)?.levelsBelowWaterM ?? null);
  const fewest = (of: TankShape, section: PurchasableBand) =>
    given(fewestBandLevels(levelGridOf(space, of), section, space.maxUtilisationRatio)) ??
    best(of, section, Math.min(count, MAX_BAND_COUNT));
  const variants: Variant[] = [];
  const add = (change: NeighbourChange, variant: Partial<Omit<Variant, 'change'>>) =>
    variants.push({ change, shape, band, arrangement: null, ...variant });

  if (count > 1) add('one-band-fewer', { arrangement: best(shape, band, count - 1) });
  add('even-spacing', { arrangement: { spacing: 'even', count } });
  add('equal-load-spacing', { arrangement: { spacing: 'equal-load', count } });

  const walls = stepsFrom(space.wallsM, shape.wallThicknessM);
  for (const [change, wallThicknessM] of [
    ['thinner-wall', walls.before],
    ['thicker-wall', walls.after],
  ] as const) {
    if (wallThicknessM === null) continue;
    const other = { ...shape, wallThicknessM };
    add(change, { shape: other, arrangement: fewest(other, band) });
  }
  const depths = stepsFrom(space.depthsM, shape.waterDepthM);
  if (depths.before !== null) {
    const other = { ...shape, waterDepthM: depths.before };
    add('lower-wall', { shape: other, arrangement: fewest(other, band) });
  }
  const diameters = stepsFrom(space.diametersM, shape.insideDiameterM);
  for (const [change, insideDiameterM] of [
    ['narrower', diameters.before],
    ['wider', diameters.after],
  ] as const) {
    if (insideDiameterM === null) continue;
    const waterDepthM = leastDepthM(space, insideDiameterM);
    const other = {
      ...shape,
      insideDiameterM,
      waterDepthM: waterDepthM ?? space.depthsM.at(-1) ?? shape.waterDepthM,
    };
    add(change, {
      shape: other,
      arrangement: fewest(other, band),
      ...(waterDepthM === null
        ? { outside: outside('waterDepthM', space.depthsM, other.waterDepthM) }
        : {}),
    });
  }
  const byArea = space.input.bandSections.toSorted((a, b) => areaMm2(a) - areaMm2(b));
  const lighter = byArea.findLast((other) => areaMm2(other) < areaMm2(band));
  const heavier = byArea.find((other) => areaMm2(other) > areaMm2(band));
  if (lighter) {
    add('lighter-section', { band: lighter, arrangement: best(shape, lighter, count) });
    add('lighter-section-more-bands', { band: lighter, arrangement: fewest(shape, lighter) });
  }
  if (heavier) add('heavier-section', { band: heavier, arrangement: fewest(shape, heavier) });
  return variants;
}

/**
 * The designs one step away from a proposal, with the check or limit that stopped each, or the cost
 * by which it is not cheaper.
 *
 * @param cost of the proposal, for all its tanks
 * @source own-tank-proposal
 */
export function neighbourDesigns(
  space: ProposalSpace,
  proposal: ProposalCandidate,
  cost: Money,
): NeighbourDesign[] {
  return variantsOf(space, proposal).map((variant): NeighbourDesign => {
    const { change, shape, band, arrangement } = variant;
    if (arrangement === null) {
      const limit = 'such bands do not fit on the wall, or none of them carries it';
      const stop: DesignStop = { kind: 'limit', parameter: 'bands.count', value: null, limit };
      return stopped(change, null, [stop]);
    }
    const design = designOf(space, shape, band, arrangement);
    const { stops } = tryDesign(space, design);
    const stoppedBy = variant.outside ? [variant.outside, ...stops] : [...stops];
    let total: Money;
    try {
      const count = arrangement.count ?? arrangement.levelsBelowWaterM?.length;
      const geometry = { ...design, bands: { ...design.bands, count } };
      total = tankCost(geometry, band, costBasis(space)).total;
    } catch (error) {
      return stopped(change, design, [...stoppedBy, limitStop(error)]);
    }
    return {
      change,
      design,
      cost: total,
      costDifference: subtractMoney(total, cost),
      outcome: stoppedBy.length > 0 ? 'rejected' : 'not-cheaper',
      stoppedBy,
    };
  });
}

function stopped(
  change: NeighbourChange,
  design: TankDesignInput | null,
  stoppedBy: readonly DesignStop[],
): NeighbourDesign {
  return { change, design, cost: null, costDifference: null, outcome: 'rejected', stoppedBy };
}
