import { type MeasureName, tankMeasures } from '../takeoff/measures.ts';
import { type BandLevelGrid, bandLevelGrid } from './band-level-grid.ts';
import { fewestBandLevels } from './band-level-search.ts';
import { holdsEnough, limitStop } from './design-trial.ts';
import { costBasis, designOf, type ProposalSpace, type TankShape } from './proposal-input.ts';
import { bandPurchase, costPerMeasure, type PurchasableBand } from './tank-cost.ts';

/** A shape with the fewest bands of one section that hold it. */
export interface ProposalCandidate {
  readonly shape: TankShape;
  readonly band: PurchasableBand;
  readonly count: number;
  readonly levelsBelowWaterM: readonly number[];
  /** Cost of all tanks by their measures, before the take-off rounds. */
  readonly approximateCost: number;
}

export interface Candidates {
  /** Cheapest first. */
  readonly candidates: readonly ProposalCandidate[];
  /** Shapes and sections set aside before any check, by what stopped them. */
  readonly setAside: ReadonlyMap<string, number>;
}

/**
 * Band levels of a shape under the hazards of the proposal.
 *
 * @source own-tank-proposal
 */
export function levelGridOf({ input }: ProposalSpace, shape: TankShape): BandLevelGrid {
  const impulsiveCoefficient = input.seismic?.impulsiveCoefficient ?? 0;
  return bandLevelGrid({ ...shape, impulsiveCoefficient });
}

/**
 * The least depth searched at which a diameter holds the water asked; null when none does.
 *
 * @source own-tank-proposal
 */
export function leastDepthM(space: ProposalSpace, insideDiameterM: number): number | null {
  return space.depthsM.find((depthM) => holdsEnough(space, insideDiameterM, depthM)) ?? null;
}

/**
 * Prices tanks by their measures; a probe is taken off once for each thickness of wall.
 *
 * @source own-tank-proposal
 */
export function measurePricing(space: ProposalSpace) {
  const basis = costBasis(space);
  const byWall = new Map<number, ReadonlyMap<MeasureName, number>>();

  function costsOf(geometry: ReturnType<typeof designOf>): ReadonlyMap<MeasureName, number> {
    const known = byWall.get(geometry.wallThicknessM);
    if (known) return known;
    const costs = costPerMeasure(geometry, basis);
    byWall.set(geometry.wallThicknessM, costs);
    return costs;
  }

  return (shape: TankShape, band: PurchasableBand, levelsBelowWaterM: readonly number[]) => {
    const design = designOf(space, shape, band, { spacing: 'given', levelsBelowWaterM });
    const costs = costsOf(design);
    const measures = tankMeasures(design, basis.recipe);
    let cost = 0;
    for (const [measure, perMeasure] of costs) cost += perMeasure * measures[measure];
    const { amount } = bandPurchase(design, band, basis);
    return cost * basis.tankCount + Number(amount.amount);
  };
}

/**
 * Every diameter and wall at its least depth, with the fewest bands of every section, cheapest
 * first. Cost grows with the number of bands, so that more bands of one section need no look.
 *
 * @throws {EngineError} as the prices or the recipe are wrong
 * @source own-tank-proposal
 */
export function proposalCandidates(space: ProposalSpace): Candidates {
  const candidates: ProposalCandidate[] = [];
  const setAside = new Map<string, number>();
  const count = (reason: string, times = 1) =>
    setAside.set(reason, (setAside.get(reason) ?? 0) + times);
  const priceOf = measurePricing(space);
  const { bandSections } = space.input;
  for (const insideDiameterM of space.diametersM) {
    const waterDepthM = leastDepthM(space, insideDiameterM);
    if (waterDepthM === null) {
      count('usableCapacityL', space.wallsM.length * bandSections.length);
      continue;
    }
    for (const wallThicknessM of space.wallsM) {
      const shape = { insideDiameterM, waterDepthM, wallThicknessM };
      const grid = levelGridOf(space, shape);
      for (const band of bandSections) {
        try {
          const levels = fewestBandLevels(grid, band, space.maxUtilisationRatio);
          if (levels === null) {
            count('bands.count');
            continue;
          }
          const approximateCost = priceOf(shape, band, levels);
          candidates.push({
            shape,
            band,
            count: levels.length,
            levelsBelowWaterM: levels,
            approximateCost,
          });
        } catch (error) {
          const stop = limitStop(error);
          count(stop.kind === 'limit' ? stop.parameter : stop.checkId);
        }
      }
    }
  }
  return { candidates: candidates.toSorted((a, b) => cheaper(a, b)), setAside };
}

function cheaper(a: ProposalCandidate, b: ProposalCandidate): number {
  return (
    a.approximateCost - b.approximateCost ||
    a.count - b.count ||
    a.shape.insideDiameterM - b.shape.insideDiameterM ||
    a.shape.wallThicknessM - b.shape.wallThicknessM
  );
}
