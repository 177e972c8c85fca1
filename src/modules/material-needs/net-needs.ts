import {
  type AllocatedStock,
  type AvailableStock,
  allocateStock,
  type StockAllocation,
} from '../../../shared/procurement/stock-allocation.ts';
import { sumQuantities } from '../../../shared/takeoff/quantity.ts';
import type { SupplyOfMaterial } from './available-stock.ts';
import type { GrossNeed } from './gross-needs.ts';

/** A need with what covers it without buying. */
export interface NetNeed extends GrossNeed {
  readonly fromVillageStock: string;
  readonly fromTransfers: string;
  readonly fromOpenOrders: string;
  readonly netQuantity: string;
}

export interface Transfer {
  readonly materialId: string;
  readonly unitCode: string;
  readonly fromStoreId: string;
  readonly toVillageId: string;
  readonly period: number;
  readonly quantity: string;
}

export interface NettedNeeds {
  readonly needs: readonly NetNeed[];
  readonly transfers: readonly Transfer[];
}

/** Nets the needs of each material against all that is there or on its way. */
export function netNeeds(
  gross: readonly GrossNeed[],
  supplies: readonly SupplyOfMaterial[],
): NettedNeeds {
  const suppliesOf = groupBy<SupplyOfMaterial>(supplies);
  const netted = [...groupBy<GrossNeed>(gross)].map(([materialId, needs]) => {
    const found = allocateStock(needs, (suppliesOf.get(materialId) ?? []) as AvailableStock[]);
    return nettedMaterial(needs, found);
  });
  return {
    needs: netted.flatMap(({ needs }) => needs),
    transfers: netted.flatMap(({ transfers }) => transfers),
  };
}

function nettedMaterial(needs: readonly GrossNeed[], found: AllocatedStock): NettedNeeds {
  const keyOf = (villageId: string, period: number) => `${villageId} ${period}`;
  const covering = new Map<string, StockAllocation[]>();
  for (const allocation of found.allocations) {
    const key = keyOf(allocation.toVillageId, allocation.period);
    const own = covering.get(key);
    if (own) own.push(allocation);
    else covering.set(key, [allocation]);
  }
  const openOf = new Map(
    found.uncovered.map((need) => [keyOf(need.villageId, need.period), need.quantity]),
  );
  const transfers: Transfer[] = [];
  const netted = needs.map((need): NetNeed => {
    const key = keyOf(need.villageId, need.period);
    const from = covering.get(key) ?? [];
    const sumOf = (chosen: readonly StockAllocation[]) =>
      sumQuantities(chosen.map(({ quantity }) => quantity));
    const isHere = ({ fromVillageId }: StockAllocation) => fromVillageId === need.villageId;
    const sent = from.filter((one) => one.storeId !== null && !isHere(one));
    for (const [fromStoreId, group] of groupByStore(sent)) {
      transfers.push({
        materialId: need.materialId,
        unitCode: need.unitCode,
        fromStoreId,
        toVillageId: need.villageId,
        period: need.period,
        quantity: sumOf(group),
      });
    }
    return {
      ...need,
      fromVillageStock: sumOf(from.filter((one) => one.kind !== 'open-order' && isHere(one))),
      fromTransfers: sumOf(sent),
      fromOpenOrders: sumOf(from.filter(({ kind }) => kind === 'open-order')),
      netQuantity: openOf.get(key) ?? '0',
    };
  });
  return { needs: netted, transfers };
}

function groupBy<Row extends { readonly materialId: string }>(
  rows: readonly Row[],
): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const group = groups.get(row.materialId);
    if (group) group.push(row);
    else groups.set(row.materialId, [row]);
  }
  return groups;
}

function groupByStore(allocations: readonly StockAllocation[]): Map<string, StockAllocation[]> {
  const groups = new Map<string, StockAllocation[]>();
  for (const allocation of allocations) {
    const storeId = allocation.storeId as string;
    groups.set(storeId, [...(groups.get(storeId) ?? []), allocation]);
  }
  return groups;
}
