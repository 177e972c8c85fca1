import { serveFirstExpiring } from './first-expiring.ts';
import type { ItemColumns } from './order-plan-item-columns.ts';
import type { PartModel } from './order-plan-model.ts';
import type { PlanPart } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import { orderableMicro, type PlanSlot } from './order-plan-slots.ts';
import type { PartOrders } from './order-plan-usage.ts';

/** Shares and quantities smaller than this part are what a solver's tolerance leaves. */
const SOLVER_SLACK = 1e-6;

/** Whole millionths of each need by the order that serves it, so that they add up to the need. */
function servedMicro(
  item: PlanItem,
  columns: ItemColumns,
  values: ArrayLike<number>,
  isOpen: readonly boolean[],
): number[] {
  const bySlot = item.slots.map(() => 0);
  for (const [index, need] of item.netMicro.entries()) {
    if (need === 0) continue;
    const shares: { slot: number | null; micro: number }[] = [];
    const gather = (slot: number | null, column: number | undefined): void => {
      const share = column === undefined ? 0 : (values[column] ?? 0);
      if (share > SOLVER_SLACK) shares.push({ slot, micro: Math.round(share * need) });
    };
    const ofPeriod = (served: ItemColumns['short']) =>
      served.find(({ period }) => period === index + 1)?.column;
    for (const [slot, { served }] of columns.slots.entries()) {
      if (isOpen[slot] === true) gather(slot, ofPeriod(served));
    }
    for (const served of columns.supplies) gather(null, ofPeriod(served));
    shares.sort((a, b) => b.micro - a.micro);
    const rest = need - shares.reduce((sum, { micro }) => sum + micro, 0);
    for (const [at, { slot, micro }] of shares.entries()) {
      if (slot !== null) bySlot[slot] = (bySlot[slot] ?? 0) + micro + (at === 0 ? rest : 0);
    }
  }
  return bySlot;
}

/** The quantity that a solver meant: one with a meaning when it lies that close. */
function meantMicro(slot: PlanSlot, served: number, asked: number, scaleMicro: number): number {
  const breaks = slot.brackets.map(({ fromMicro }) => fromMicro);
  const meant = [served, slot.minimumMicro, slot.keptMicro, slot.capMicro, ...breaks];
  const slack = SOLVER_SLACK * Math.max(scaleMicro, asked);
  const near = meant.find((micro) => micro >= served && Math.abs(micro - asked) <= slack);
  return near ?? Math.max(served, Math.round(asked));
}

function itemOrders(item: PlanItem, columns: ItemColumns, values: ArrayLike<number>): number[] {
  const isOpen = columns.slots.map(({ placed, packs }) => {
    if (packs !== null && Math.round(values[packs] ?? 0) === 0) return false;
    return placed === null || (values[placed] ?? 0) >= 0.5;
  });
  const served = servedMicro(item, columns, values, isOpen);
  return item.slots.map((slot, index) => {
    const own = columns.slots[index];
    if (isOpen[index] !== true || own === undefined) return 0;
    const asked =
      columns.scaleMicro *
      own.quantity.reduce(
        (sum, { column, coefficient }) => sum + coefficient * (values[column] ?? 0),
        0,
      );
    if (own.packs !== null && slot.packMicro !== null) {
      return Math.min(slot.capMicro, Math.round(values[own.packs] ?? 0) * slot.packMicro);
    }
    const micro = meantMicro(slot, served[index] ?? 0, asked, columns.scaleMicro);
    if (micro <= SOLVER_SLACK * columns.scaleMicro && slot.minimumMicro === 0)
      return served[index] ?? 0;
    return orderableMicro(slot, Math.min(micro, slot.capMicro)) ?? slot.capMicro;
  });
}

/** What rounding left open is put on orders that are placed already, then on any that may be. */
function repaired(item: PlanItem, orders: readonly number[]): number[] | null {
  const mended = [...orders];
  for (let round = 0; round < 4 * item.netMicro.length + 4; round += 1) {
    const supplies = item.slots.map(({ arrives, lastPeriod }, index) => ({
      arrives,
      lastPeriod,
      quantity: mended[index] ?? 0,
    }));
    const { uncovered } = serveFirstExpiring(item.netMicro, [...item.supplies, ...supplies]);
    const at = uncovered.findIndex((micro) => micro > 0);
    if (at < 0) return mended;
    const candidates = item.slots
      .map((slot, index) => ({ slot, index, micro: mended[index] ?? 0 }))
      .filter(
        ({ slot, micro }) =>
          slot.arrives <= at + 1 && slot.lastPeriod >= at + 1 && micro < slot.capMicro,
      )
      .sort((a, b) => Number(b.micro > 0) - Number(a.micro > 0) || b.slot.arrives - a.slot.arrives);
    const [best] = candidates;
    if (best === undefined) return null;
    const wanted = Math.min(best.slot.capMicro, best.micro + (uncovered[at] ?? 0));
    mended[best.index] = orderableMicro(best.slot, wanted) ?? best.slot.capMicro;
  }
  return null;
}

/**
 * Orders of a solved model in whole millionths and whole packs, every need covered to the last.
 *
 * @returns null when the values are not those of a plan
 * @source order-plan-own
 */
export function ordersOf(
  part: PlanPart,
  { items }: PartModel,
  values: ArrayLike<number>,
): PartOrders | null {
  const orders: number[][] = [];
  for (const [at, item] of part.items.entries()) {
    const columns = items[at];
    const own = columns === undefined ? null : repaired(item, itemOrders(item, columns, values));
    if (own === null) return null;
    orders.push(own);
  }
  return orders;
}
