import type { TankProposalBody } from '../../../shared/contract/calculation-tank-proposal.ts';
import type { TankCheck } from '../../../shared/design/check-tank.ts';
import { neededCapacity } from '../../../shared/design/needed-capacity.ts';
import type { NeighbourDesign } from '../../../shared/design/neighbour-designs.ts';
import type { ProposalCaution } from '../../../shared/design/proposal-cautions.ts';
import {
  type NearestDesign,
  type ProposalSearch,
  proposeTank,
} from '../../../shared/design/propose-tank.ts';
import type { TankCost } from '../../../shared/design/tank-cost.ts';
import type { TankDesignInput } from '../../../shared/design/tank-design-input.ts';
import type { StorageSummary } from '../../../shared/hydrology/reliability.ts';

/** A proposal, or why there is none; what does not apply is null. */
export interface ProposedTank {
  readonly status: 'proposed' | 'no-design' | 'roof-too-small' | 'target-not-reachable';
  readonly neededCapacityL: number | null;
  readonly storage: StorageSummary | null;
  readonly design: TankDesignInput | null;
  readonly usableCapacityL: number | null;
  readonly check: TankCheck | null;
  readonly cost: TankCost | null;
  readonly neighbours: readonly NeighbourDesign[];
  readonly nearest: NearestDesign | null;
  readonly search: ProposalSearch | null;
  readonly cautions: readonly ProposalCaution[];
}

const NO_TANK = {
  id: 'target-out-of-reach',
  text: 'No tank of up to 22,000 litres reaches the target on this roof with this rain. A larger roof, a smaller demand or a lower target may.',
};

const NOTHING = {
  design: null,
  usableCapacityL: null,
  check: null,
  cost: null,
  neighbours: [],
  nearest: null,
} as const;

/** From a demand, or a capacity, to the cheapest tank that passes every check. */
export function tankProposal({ storage, ...input }: TankProposalBody): ProposedTank {
  if (storage.kind === 'capacity') return proposedTank(input, storage.leastCapacityL, null);
  const needed = neededCapacity(storage);
  if (needed.status !== 'found') {
    const { status, summary } = needed;
    return {
      ...NOTHING,
      status,
      neededCapacityL: null,
      storage: summary,
      search: null,
      cautions: [NO_TANK],
    };
  }
  return proposedTank(input, needed.capacityL, needed.summary);
}

function proposedTank(
  input: Omit<TankProposalBody, 'storage'>,
  leastCapacityL: number,
  summary: StorageSummary | null,
): ProposedTank {
  const proposal = proposeTank({ ...input, leastCapacityL });
  return { ...NOTHING, neededCapacityL: leastCapacityL, storage: summary, ...proposal };
}
