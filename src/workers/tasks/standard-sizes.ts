import type { StandardSizesBody } from '../../../shared/contract/calculation-standard-sizes.ts';
import type { Money } from '../../../shared/costing/money.ts';
import { type SizeNeed, sizeNeeds } from '../../../shared/design/size-needs.ts';
import { type SizeChoice, standardSizes } from '../../../shared/design/standard-sizes.ts';
import { fromMinorUnits, minorUnits } from '../../modules/calculations/minor-units.ts';

export interface PricedChoice {
  readonly allowedSizeCount: number;
  readonly sizes: readonly {
    readonly id: string;
    readonly capacityL: number;
    readonly siteCount: number;
    readonly cost: Money;
  }[];
  readonly tankCost: Money;
  readonly sizeCost: Money;
  readonly totalCost: Money;
  readonly saving: Money | null;
}

export interface UnservedSite {
  readonly siteId: string;
  readonly reason: 'roof-too-small' | 'target-not-reachable' | 'capacity-above-all';
}

export interface ChosenSizes {
  readonly choices: readonly PricedChoice[];
  readonly best: PricedChoice | null;
  readonly unserved: readonly UnservedSite[];
  readonly dominatedSizeIds: readonly string[];
  readonly assignments: readonly {
    readonly siteId: string;
    readonly sizeId: string;
    readonly leastSizeId: string;
  }[];
  readonly cautions: readonly { readonly id: string; readonly text: string }[];
}

const CAUTIONS = [
  {
    id: 'sizes-not-designs',
    text: 'Sizes are compared by capacity and cost alone. Each needs a design that an engineer has approved, and each site its ground and hazards looked at.',
  },
  {
    id: 'cost-by-size',
    text: 'One cost a size: what differs between villages, such as transport, is not counted.',
  },
] as const;

/** The best standard sizes for a programme, with the capacity that each site needs. */
export function chosenSizes(body: StandardSizesBody): ChosenSizes {
  const { currency, candidates, sites } = body;
  const needs = needsOf(body);
  const served = sites.flatMap(({ id, count }) => {
    const need = needs.get(id);
    return need?.capacityL == null ? [] : [{ id, count, leastCapacityL: need.capacityL }];
  });
  const found = standardSizes({
    candidates: candidates.map((size) => ({ ...size, unitCost: minorUnits(size.unitCost) })),
    sites: served,
    maxSizeCount: body.maxSizeCount,
    ...(body.costPerSize ? { costPerSize: minorUnits(body.costPerSize) } : {}),
  });
  const aboveAll = new Set(found.unservedSiteIds);
  const smallestFirst = candidates.toSorted((a, b) => a.capacityL - b.capacityL);
  return {
    choices: found.choices.map((choice) => priced(choice, currency)),
    best: found.best && priced(found.best, currency),
    unserved: sites.flatMap(({ id }): UnservedSite[] => {
      const reason =
        needs.get(id)?.refusal ?? (aboveAll.has(id) ? 'capacity-above-all' : undefined);
      return reason === undefined ? [] : [{ siteId: id, reason }];
    }),
    dominatedSizeIds: found.dominatedSizeIds,
    assignments: served.flatMap(({ id, leastCapacityL }) => {
      const size = found.best?.sizes.find(({ capacityL }) => capacityL >= leastCapacityL);
      const least = smallestFirst.find(({ capacityL }) => capacityL >= leastCapacityL);
      return size && least ? [{ siteId: id, sizeId: size.id, leastSizeId: least.id }] : [];
    }),
    cautions: CAUTIONS,
  };
}

function needsOf({ candidates, sites, rain }: StandardSizesBody): ReadonlyMap<string, SizeNeed> {
  const needs = new Map<string, SizeNeed>();
  const withDemand = sites.flatMap((site) => (site.kind === 'demand' ? [site] : []));
  if (rain !== undefined && withDemand.length > 0) {
    const capacitiesL = candidates.map(({ capacityL }) => capacityL);
    for (const [id, need] of sizeNeeds(withDemand, rain, capacitiesL)) needs.set(id, need);
  }
  for (const site of sites) {
    if (site.kind === 'capacity') {
      needs.set(site.id, { capacityL: site.leastCapacityL, refusal: null });
    }
  }
  return needs;
}

const priced = (choice: SizeChoice, currency: string): PricedChoice => ({
  allowedSizeCount: choice.allowedSizeCount,
  sizes: choice.sizes.map((size) => ({ ...size, cost: fromMinorUnits(size.cost, currency) })),
  tankCost: fromMinorUnits(choice.tankCost, currency),
  sizeCost: fromMinorUnits(choice.sizeCost, currency),
  totalCost: fromMinorUnits(choice.totalCost, currency),
  saving: choice.saving === null ? null : fromMinorUnits(choice.saving, currency),
});
