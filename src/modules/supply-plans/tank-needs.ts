import type { TankNeed } from '../../../shared/procurement/buying-ways.ts';
import type { BuildNeed } from '../material-needs/gross-needs.ts';
import type { NetNeed } from '../material-needs/net-needs.ts';
import { itemIdOf } from './season-problem.ts';

/** Net needs shared out among the builds that have them, in the order of the builds' ids. */
export function tankNeedsOf(
  needs: readonly NetNeed[],
  byBuild: readonly BuildNeed[],
): readonly TankNeed[] {
  const open = new Map(
    needs.map(({ materialId, villageId, period, netQuantity }) => [
      `${itemIdOf(materialId, villageId)} ${period}`,
      Number(netQuantity),
    ]),
  );
  return byBuild.flatMap(({ buildId, materialId, villageId, period, quantity }) => {
    const itemId = itemIdOf(materialId, villageId);
    const key = `${itemId} ${period}`;
    const left = open.get(key) ?? 0;
    const taken = Math.min(left, Number(quantity));
    if (taken <= 0) return [];
    open.set(key, left - taken);
    return [{ tankId: buildId, itemId, period, quantity: taken }];
  });
}
