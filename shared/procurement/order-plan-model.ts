import { type MilpBuilder, milpBuilder, type Term } from './milp-model.ts';
import { addItem, type ItemColumns } from './order-plan-item-columns.ts';
import { MICRO } from './order-plan-limits.ts';
import { type PlanPart, tripKey } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';

/** More trips than this are planned as a number that need not be whole, and rounded up. Ours. */
const MAX_WHOLE_TRIPS = 1_000_000;
/** Room beyond a store counts as more than any shortage. */
const OVERFULL_WEIGHT = 1_000;

export interface OverfullColumn {
  readonly storageIndex: number;
  readonly period: number;
  readonly column: number;
  readonly scale: number;
}

export interface PartModel {
  readonly builder: MilpBuilder;
  readonly items: readonly ItemColumns[];
  /** Goods beyond the room of a store, where a plan may fall short. */
  readonly overfull: readonly OverfullColumn[];
}

const scaled = (terms: readonly Term[], factor: number): Term[] =>
  terms.map(({ column, coefficient }) => ({ column, coefficient: coefficient * factor }));

/** Trips by group and period: Σ mass·q ≤ payload·n + what trips made anyway still take. */
function addTrips(
  builder: MilpBuilder,
  part: PlanPart,
  columns: readonly ItemColumns[],
  isPriced: boolean,
): Map<number, Term[]> {
  const loads = new Map<string, { terms: Term[]; placed: number[]; mostKg: number }>();
  for (const [at, item] of part.items.entries()) {
    for (const [index, slot] of item.slots.entries()) {
      const own = columns[at]?.slots[index];
      if (slot.tripIndex === null || own === undefined || item.massKgPerUnit === 0) continue;
      const key = tripKey(slot.tripIndex, slot.arrives);
      const load = loads.get(key) ?? { terms: [], placed: [], mostKg: 0 };
      const kgPerScale = (item.massKgPerUnit * (columns[at]?.scaleMicro ?? 0)) / MICRO;
      load.terms.push(...scaled(own.quantity, kgPerScale));
      load.mostKg += (item.massKgPerUnit * slot.capMicro) / MICRO;
      if (own.placed !== null) load.placed.push(own.placed);
      loads.set(key, load);
    }
  }
  const spending = new Map<number, Term[]>();
  for (const [key, { terms, placed, mostKg }] of loads) {
    const [tripIndex = 0, arrives = 0] = key.split(' ').map(Number);
    const group = part.limits.trips[tripIndex];
    if (group === undefined) continue;
    const made = part.limits.tripsMade.get(key) ?? { count: 0, spareKg: 0 };
    const needed = Math.ceil(mostKg / group.payloadKg);
    const left = (group.maximumTripsPerPeriod ?? Number.POSITIVE_INFINITY) - made.count;
    const column = builder.addColumn({
      cost: isPriced ? group.costPerTrip : 0,
      upper: Math.max(0, Math.min(needed, left)),
      isWhole: needed <= MAX_WHOLE_TRIPS,
    });
    builder.addRow(
      [...scaled(terms, 1 / group.payloadKg), { column, coefficient: -1 }],
      Number.NEGATIVE_INFINITY,
      made.spareKg / group.payloadKg,
    );
    if (made.spareKg === 0) {
      for (const order of placed) {
        const trip = { column, coefficient: -1 };
        builder.addRow([{ column: order, coefficient: 1 }, trip], Number.NEGATIVE_INFINITY, 0);
      }
    }
    const term = { column, coefficient: group.costPerTrip };
    spending.set(arrives, [...(spending.get(arrives) ?? []), term]);
  }
  return spending;
}

/** Spending of each period within its cash, or of all periods so far within all cash so far. */
function addCash(
  builder: MilpBuilder,
  part: PlanPart,
  columns: readonly ItemColumns[],
  tripSpending: ReadonlyMap<number, readonly Term[]>,
): void {
  const { cash, doesCashCarryOver } = part.limits;
  if (cash === null) return;
  const scale = Math.max(1, ...cash);
  let spent: number | null = null;
  let limit = 0;
  for (const [index, ofPeriod] of cash.entries()) {
    const period = index + 1;
    const terms = part.items.flatMap((item, at) =>
      item.slots.flatMap((slot, slotIndex) =>
        slot.placed === period ? (columns[at]?.slots[slotIndex]?.spending ?? []) : [],
      ),
    );
    const spending = scaled([...terms, ...(tripSpending.get(period) ?? [])], 1 / scale);
    limit += ofPeriod;
    if (!doesCashCarryOver) {
      if (spending.length > 0) builder.addRow(spending, Number.NEGATIVE_INFINITY, ofPeriod / scale);
      continue;
    }
    const sum = builder.addColumn({ upper: limit / scale });
    const before = spent === null ? [] : [{ column: spent, coefficient: 1 }];
    builder.addRow([...spending, ...before, { column: sum, coefficient: -1 }], 0, 0);
    spent = sum;
  }
}

/** Stock at the end of each period of an item that takes room, in units of its scale. */
function addStock(
  builder: MilpBuilder,
  part: PlanPart,
  item: PlanItem,
  { slots, scaleMicro, short }: ItemColumns,
): number[] {
  const stock: number[] = [];
  for (let period = 1; period <= part.periodCount; period += 1) {
    const column = builder.addColumn({});
    const terms: Term[] = [{ column, coefficient: 1 }];
    const before = stock.at(-1);
    if (before !== undefined) terms.push({ column: before, coefficient: -1 });
    for (const [index, slot] of item.slots.entries()) {
      if (slot.arrives === period) terms.push(...scaled(slots[index]?.quantity ?? [], -1));
    }
    for (const one of short) {
      if (one.period !== period) continue;
      const micro = item.netMicro[period - 1] ?? 0;
      terms.push({ column: one.column, coefficient: -micro / scaleMicro });
    }
    const change = (item.fixedMicro[period - 1] ?? 0) - (item.demandMicro[period - 1] ?? 0);
    builder.addRow(terms, change / scaleMicro, change / scaleMicro);
    stock.push(column);
  }
  return stock;
}

function addStorage(
  builder: MilpBuilder,
  part: PlanPart,
  columns: readonly ItemColumns[],
  mayFallShort: boolean,
): OverfullColumn[] {
  const overfull: OverfullColumn[] = [];
  for (const [storageIndex, capacity] of part.limits.storage.entries()) {
    const users = part.items.flatMap((item, at) => {
      const own = columns[at];
      return item.storageIndex === storageIndex && item.storagePerUnit > 0 && own !== undefined
        ? [{ item, own }]
        : [];
    });
    if (users.length === 0) continue;
    const stocks = users.map(({ item, own }) => ({
      stock: addStock(builder, part, item, own),
      perScale: (item.storagePerUnit * own.scaleMicro) / MICRO,
    }));
    for (const [index, room] of capacity.entries()) {
      const scale = Math.max(room, ...stocks.map(({ perScale }) => perScale));
      const terms = stocks.flatMap(({ stock, perScale }) => {
        const column = stock[index];
        return column === undefined ? [] : [{ column, coefficient: perScale / scale }];
      });
      if (mayFallShort) {
        const column = builder.addColumn({ cost: OVERFULL_WEIGHT });
        overfull.push({ storageIndex, period: index + 1, column, scale });
        terms.push({ column, coefficient: -1 });
      }
      builder.addRow(terms, Number.NEGATIVE_INFINITY, room / scale);
    }
  }
  return overfull;
}

/**
 * The model of a part: its items, and what they share. Least cost; or, when plans may fall short,
 * the least shortage, with goods beyond a store's room last of all.
 *
 * @source krarup-bilde-1977; order-plan-own
 */
export function partModel(part: PlanPart, mayFallShort = false): PartModel {
  const builder = milpBuilder();
  const items = part.items.map((item) => addItem(builder, part, item, mayFallShort));
  const tripSpending = addTrips(builder, part, items, !mayFallShort);
  addCash(builder, part, items, tripSpending);
  const overfull = addStorage(builder, part, items, mayFallShort);
  return { builder, items, overfull };
}
