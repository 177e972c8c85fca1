import type { TankNeed } from '../../../shared/procurement/buying-ways.ts';
import type { PlanItemInput } from '../../../shared/procurement/order-plan-types.ts';
import type { BuildNeed } from '../material-needs/gross-needs.ts';
import { itemIdOf } from './season-problem.ts';

/** The demand of the items shared out among the builds that have it, in the order of the builds' ids. */
export function tankNeedsOf(
  items: readonly PlanItemInput[],
  byBuild: readonly BuildNeed[],
): readonly TankNeed[] {
  const open = new Map(items.map(({ id, demand }) => [id, [...demand]]));
  return byBuild.flatMap(({ buildId, materialId, villageId, period, quantity }) => {
    const itemId = itemIdOf(materialId, villageId);
    const demand = open.get(itemId);
    const taken = Math.min(demand?.[period - 1] ?? 0, Number(quantity));
    if (demand === undefined || taken <= 0) return [];
    demand[period - 1] = (demand[period - 1] ?? 0) - taken;
    return [{ tankId: buildId, itemId, period, quantity: taken }];
  });
}
