import { bestBandLevels } from './band-level-search.ts';
import type { TankCheck } from './check-tank.ts';
import { type DesignStop, type DesignTrial, tryDesign, usableCapacityL } from './design-trial.ts';
import { type NeighbourDesign, neighbourDesigns } from './neighbour-designs.ts';
import { levelGridOf, type ProposalCandidate, proposalCandidates } from './proposal-candidates.ts';
import { type ProposalCaution, proposalCautions } from './proposal-cautions.ts';
import {
  costBasis,
  designOf,
  type ProposalSpace,
  proposalSpace,
  type TankProposalInput,
} from './proposal-input.ts';
import { type TankCost, tankCost } from './tank-cost.ts';
import type { TankDesignInput } from './tank-design-input.ts';

export interface ProposalSearch {
  /** Shapes and sections for which bands were found and priced. */
  readonly candidateCount: number;
  /** Of them, cheapest first, how many went through all checks. */
  readonly checkedCount: number;
  /** How many were stopped, by the check or limit that stopped them first. */
  readonly stoppedBy: readonly { readonly by: string; readonly count: number }[];
}

/** The rejected design that came nearest to passing. */
export interface NearestDesign {
  readonly design: TankDesignInput;
  readonly stoppedBy: readonly DesignStop[];
}

interface Answer {
  readonly search: ProposalSearch;
  readonly cautions: readonly ProposalCaution[];
}

export type TankProposal =
  | (Answer & {
      readonly status: 'proposed';
      readonly design: TankDesignInput;
      readonly usableCapacityL: number;
      readonly check: TankCheck;
      readonly cost: TankCost;
      readonly neighbours: readonly NeighbourDesign[];
    })
  | (Answer & { readonly status: 'no-design'; readonly nearest: NearestDesign | null });

function candidateDesign(space: ProposalSpace, candidate: ProposalCandidate): TankDesignInput {
  const { shape, band, levelsBelowWaterM } = candidate;
  return designOf(space, shape, band, { spacing: 'given', levelsBelowWaterM });
}

/** The proposal with its bands at their best levels, priced, among its neighbours. */
function proposed(
  space: ProposalSpace,
  candidate: ProposalCandidate,
  found: TankCheck,
  search: ProposalSearch,
): TankProposal {
  const { shape, band, count } = candidate;
  const best = bestBandLevels(levelGridOf(space, shape), band, count);
  const levelled =
    best === null ? candidate : { ...candidate, levelsBelowWaterM: best.levelsBelowWaterM };
  const trial = tryDesign(space, candidateDesign(space, levelled));
  const isBetter = trial.check !== null && trial.stops.length === 0;
  const chosen = isBetter ? levelled : candidate;
  const design = candidateDesign(space, chosen);
  const cost = tankCost(design, band, costBasis(space));
  return {
    status: 'proposed',
    design,
    usableCapacityL: usableCapacityL(space, shape.insideDiameterM, shape.waterDepthM),
    check: isBetter && trial.check !== null ? trial.check : found,
    cost,
    neighbours: neighbourDesigns(space, chosen, cost.total),
    search,
    cautions: proposalCautions(space, chosen, cost.unpricedMaterialCodes),
  };
}

/** Checks that do not know the bands; the shape that one of them stops needs no other section. */
const SHAPE_CHECKS: ReadonlySet<string> = new Set([
  'wall-hoop-stress',
  'wall-bending-stress',
  'dome-compression',
  'dome-edge-tension',
  'dome-person-tension',
  'dome-buckling',
  'strip-bending-strain',
  'bearing-full',
  'wind-overturning',
  'wind-sliding',
  'seismic-overturning',
  'seismic-sliding',
  'seismic-uplift',
  'seismic-bearing',
]);

const nameOf = (stop: DesignStop): string =>
  stop.kind === 'check' ? stop.checkId : stop.parameter;

const worstRatio = ({ check }: DesignTrial): number =>
  check === null ? Number.POSITIVE_INFINITY : check.maxUtilisationRatio;

/**
 * The cheapest tank of a search that holds the water asked and passes every check with margin.
 *
 * Diameters, walls and band sections are tried on their ranges, each diameter at the least depth of
 * its range that holds the water; the fewest bands and their levels come from `fewestBandLevels`.
 * Candidates are priced, then checked cheapest first: the first that passes is the cheapest of the
 * whole search, to within the rounding of its take-off. Its bands then get the levels with the
 * least greatest utilisation.
 *
 * @param input water [L], hazards, sections and lengths on sale, prices; ranges in metres
 * @returns the design with its whole check, its cost and its neighbours, each with what stopped it;
 *   or `no-design` with the one that came nearest. Always with cautions. A proposal is no approval.
 * @throws {EngineError} naming the field, its value and the limit
 * @source own-tank-proposal; own-band-level-search
 */
export function proposeTank(input: TankProposalInput): TankProposal {
  const space = proposalSpace(input);
  const { candidates, setAside } = proposalCandidates(space);
  const stopped = new Map(setAside);
  const stoppedShapes = new Map<string, DesignStop>();
  let nearest: { design: TankDesignInput; trial: DesignTrial } | null = null;
  let checkedCount = 0;
  const searchOf = (): ProposalSearch => ({
    candidateCount: candidates.length,
    checkedCount,
    stoppedBy: [...stopped]
      .map(([by, count]) => ({ by, count }))
      .sort((a, b) => b.count - a.count || (a.by < b.by ? -1 : 1)),
  });
  for (const candidate of candidates) {
    const shapeKey = Object.values(candidate.shape).join(' ');
    const known = stoppedShapes.get(shapeKey);
    const design = candidateDesign(space, candidate);
    const trial = known === undefined ? tryDesign(space, design) : null;
    const stop = known ?? trial?.stops[0];
    if (trial !== null) checkedCount += 1;
    if (stop === undefined && trial?.check) {
      return proposed(space, candidate, trial.check, searchOf());
    }
    if (stop !== undefined) stopped.set(nameOf(stop), (stopped.get(nameOf(stop)) ?? 0) + 1);
    if (trial === null) continue;
    const ofShape = trial.stops.find((one) => SHAPE_CHECKS.has(nameOf(one)));
    if (ofShape !== undefined) stoppedShapes.set(shapeKey, ofShape);
    if (nearest === null || worstRatio(trial) < worstRatio(nearest.trial)) {
      nearest = { design, trial };
    }
  }
  return {
    status: 'no-design',
    nearest: nearest && { design: nearest.design, stoppedBy: nearest.trial.stops },
    search: searchOf(),
    cautions: proposalCautions(space, null, []),
  };
}
