import type { PlanItem, PlanProblem } from './order-plan-problem.ts';
import type { TripGroup } from './order-plan-types.ts';

/** What items must share. Lists by period are what is left for the items of the part. */
export interface JointLimits {
  readonly cash: readonly number[] | null;
  readonly doesCashCarryOver: boolean;
  readonly trips: readonly TripGroup[];
  readonly storage: readonly (readonly number[])[];
  /** Trips that are driven anyway, by group and period, and the load they still take. */
  readonly tripsMade: ReadonlyMap<string, { readonly count: number; readonly spareKg: number }>;
}

/** Items that must be planned together. */
export interface PlanPart {
  readonly periodCount: number;
  readonly items: readonly PlanItem[];
  readonly limits: JointLimits;
  readonly changePerOrder: number;
  readonly changePerUnit: number;
  readonly gapRatio: number;
}

export const tripKey = (tripIndex: number, arrives: number): string => `${tripIndex} ${arrives}`;

/**
 * Whether anything of a part is shared: money, trips or room.
 *
 * @source order-plan-own
 */
export function isJoint({ items, limits }: PlanPart): boolean {
  return (
    limits.cash !== null ||
    items.some(
      ({ slots, storageIndex, storagePerUnit }) =>
        (storageIndex !== null && storagePerUnit > 0) ||
        slots.some(({ tripIndex }) => tripIndex !== null),
    )
  );
}

/**
 * The problem parted into groups of items that share nothing with another group: items are joined
 * by a cash limit, by trips of one group and by a storage class.
 *
 * @source order-plan-own
 */
export function planParts(problem: PlanProblem): PlanPart[] {
  const { items, periodCount, changePerOrder, changePerUnit, gapRatio } = problem;
  const parent = items.map((_, index) => index);
  const root = (index: number): number => {
    let at = index;
    while (parent[at] !== at) at = parent[at] ?? at;
    return at;
  };
  const firstByLink = new Map<string, number>();
  for (const [index, item] of items.entries()) {
    const links = item.slots.flatMap(({ tripIndex }) =>
      tripIndex === null ? [] : [`t${tripIndex}`],
    );
    if (item.storageIndex !== null && item.storagePerUnit > 0) links.push(`s${item.storageIndex}`);
    if (problem.cash !== null && item.slots.length > 0) links.push('cash');
    for (const link of links) {
      const first = firstByLink.get(link);
      if (first === undefined) firstByLink.set(link, index);
      else parent[root(index)] = root(first);
    }
  }
  const groups = new Map<number, PlanItem[]>();
  for (const [index, item] of items.entries()) {
    groups.set(root(index), [...(groups.get(root(index)) ?? []), item]);
  }
  return [...groups.values()].map((members) => ({
    periodCount,
    items: members,
    limits: {
      cash: members.some(({ slots }) => slots.length > 0) ? problem.cash : null,
      doesCashCarryOver: problem.doesCashCarryOver,
      trips: problem.trips,
      storage: problem.storage,
      tripsMade: new Map(),
    },
    changePerOrder,
    changePerUnit,
    gapRatio,
  }));
}
