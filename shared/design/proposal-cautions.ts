import type { ProposalCandidate } from './proposal-candidates.ts';
import type { ProposalSpace } from './proposal-input.ts';

export interface ProposalCaution {
  readonly id: string;
  readonly text: string;
}

const NOT_APPROVED = {
  id: 'proposal-not-approved',
  text: 'A proposal is arithmetic over the prices and ranges given. An engineer must check and approve the design before anything is built.',
};

const UNIT_PRICES = {
  id: 'unit-prices',
  text: 'Materials other than bands are priced by the unit with waste, not by whole packs; transport is not counted.',
};

const TO_THE_TOP = {
  id: 'capacity-to-top',
  text: 'Capacity is taken from the floor to the top of the wall; water below the tap and above the overflow cannot be drawn. Give unusableDepthM to leave it out.',
};

/**
 * What must be said with a proposal.
 *
 * @param chosen the candidate proposed, if any
 * @param unpricedMaterialCodes of its take-off
 * @source own-tank-proposal
 */
export function proposalCautions(
  space: ProposalSpace,
  chosen: ProposalCandidate | null,
  unpricedMaterialCodes: readonly string[],
): ProposalCaution[] {
  const cautions: ProposalCaution[] = [NOT_APPROVED, UNIT_PRICES];
  if (space.unusableDepthM === 0) cautions.push(TO_THE_TOP);
  if (unpricedMaterialCodes.length > 0) {
    cautions.push({
      id: 'unpriced-materials',
      text: `Without a price, and so not counted in the search: ${unpricedMaterialCodes.join(', ')}.`,
    });
  }
  const edges = chosen === null ? [] : edgesOf(space, chosen);
  if (edges.length > 0) {
    cautions.push({
      id: 'search-edge',
      text: `The proposal stands at an end of the range searched, so that a wider range may hold a cheaper tank: ${edges.join(', ')}.`,
    });
  }
  return cautions;
}

function edgesOf(space: ProposalSpace, { shape }: ProposalCandidate): string[] {
  const isEdge = (values: readonly number[], value: number) =>
    values.length > 1 && (value === values[0] || value === values.at(-1));
  return [
    ...(isEdge(space.diametersM, shape.insideDiameterM) ? ['insideDiameterM'] : []),
    ...(isEdge(space.wallsM, shape.wallThicknessM) ? ['wallThicknessM'] : []),
  ];
}
