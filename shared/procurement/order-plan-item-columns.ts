import { commonDivisor } from './cutting-problem.ts';
import type { MilpBuilder, Term } from './milp-model.ts';
import { MICRO } from './order-plan-limits.ts';
import type { PlanPart } from './order-plan-parts.ts';
import type { PlanItem } from './order-plan-problem.ts';
import type { PlanSlot } from './order-plan-slots.ts';

/** More packs than this in one order are planned as a quantity and rounded up afterwards. Ours. */
const MAX_WHOLE_PACKS = 100_000;

export interface ServedColumn {
  readonly period: number;
  /** Share of the net demand of the period, 0 to 1. */
  readonly column: number;
}

/** Columns of an order that may be placed. */
export interface SlotColumns {
  /** 1 when the order is placed; null where nothing depends on it. */
  readonly placed: number | null;
  readonly packs: number | null;
  readonly served: readonly ServedColumn[];
  /** The ordered quantity, in units of the item's scale. */
  readonly quantity: readonly Term[];
  /** What the goods and the order cost. */
  readonly spending: readonly Term[];
}

export interface ItemColumns {
  /** Millionths in one unit of the item's scale. */
  readonly scaleMicro: number;
  readonly slots: readonly SlotColumns[];
  /** Columns of each supply that is there, in its order. */
  readonly supplies: readonly (readonly ServedColumn[])[];
  /** Shortage by period, where a plan may fall short. */
  readonly short: readonly ServedColumn[];
}

interface Building {
  readonly builder: MilpBuilder;
  readonly part: PlanPart;
  readonly item: PlanItem;
  readonly scaleMicro: number;
  /** Costs count; in a search for the least shortage they do not. */
  readonly isPriced: boolean;
}

const demandOf = (item: PlanItem, period: number): number => item.netMicro[period - 1] ?? 0;

/** Columns of brackets: one in use at most, q = Σ q_b, lo_b·u_b ≤ q_b ≤ hi_b·u_b. */
function addBrackets(
  { builder, scaleMicro, isPriced }: Building,
  slot: PlanSlot,
  placed: number,
  quantity: number,
): Term[] {
  const spending: Term[] = [];
  const uses: Term[] = [{ column: placed, coefficient: -1 }];
  const parts: Term[] = [{ column: quantity, coefficient: -1 }];
  for (const [index, { fromMicro, unitCost, costAtFrom }] of slot.brackets.entries()) {
    const untilMicro = slot.brackets[index + 1]?.fromMicro ?? slot.capMicro;
    const fixed = slot.isIncremental ? costAtFrom - (unitCost * fromMicro) / MICRO : 0;
    const perScale = (unitCost * scaleMicro) / MICRO;
    const use = builder.addColumn({ cost: isPriced ? fixed : 0, upper: 1, isWhole: true });
    const amount = builder.addColumn({ cost: isPriced ? perScale : 0 });
    const [low, high] = [fromMicro / scaleMicro, untilMicro / scaleMicro];
    const amountTerm = { column: amount, coefficient: 1 };
    builder.addRow([amountTerm, { column: use, coefficient: -high }], Number.NEGATIVE_INFINITY, 0);
    if (low > 0) {
      builder.addRow([amountTerm, { column: use, coefficient: -low }], 0, Number.POSITIVE_INFINITY);
    }
    uses.push({ column: use, coefficient: 1 });
    parts.push(amountTerm);
    spending.push({ column: use, coefficient: fixed }, { column: amount, coefficient: perScale });
  }
  builder.addRow(uses, 0, 0);
  builder.addRow(parts, 0, 0);
  return spending;
}

/** What one unit costs that comes in a period and is left after the last. */
const heldToEnd = (item: PlanItem, periodCount: number, arrives: number): number =>
  item.holdingCostPerUnit * (periodCount - arrives + 1);

function addSlot(building: Building, slot: PlanSlot): SlotColumns {
  const { builder, part, item, scaleMicro, isPriced } = building;
  const { periodCount, changePerOrder, changePerUnit } = part;
  const { packMicro, minimumMicro, capMicro, keptMicro } = slot;
  const hasBrackets = slot.brackets.length > 1;
  const unitCost = slot.brackets[0]?.unitCost ?? 0;
  const isWholePacks = packMicro !== null && capMicro / packMicro <= MAX_WHOLE_PACKS;
  const tripMass = slot.tripIndex === null ? 0 : item.massKgPerUnit;
  const change = isPriced ? changePerOrder : 0;
  const needsPlaced =
    slot.orderCost > 0 || minimumMicro > 0 || hasBrackets || tripMass > 0 || change > 0;
  const placed = needsPlaced
    ? builder.addColumn({
        cost: isPriced ? slot.orderCost + (keptMicro > 0 ? -change : change) : 0,
        upper: 1,
        isWhole: true,
      })
    : null;
  if (keptMicro > 0) builder.addOffset(change);

  // per unit of quantity, beside the price of brackets; shares served take off what they do not wait
  const perUnit =
    (hasBrackets ? 0 : unitCost) +
    heldToEnd(item, periodCount, slot.arrives) +
    (keptMicro > 0 ? 0 : changePerUnit);
  const mayExceed = minimumMicro > 0 || packMicro !== null || hasBrackets || keptMicro > 0;
  const isPlain = !mayExceed && tripMass === 0 && part.limits.cash === null && !usesRoom(item);

  const served: ServedColumn[] = [];
  for (let period = slot.arrives; period <= slot.lastPeriod; period += 1) {
    const units = demandOf(item, period) / MICRO;
    if (units === 0) continue;
    const saved = item.holdingCostPerUnit * (periodCount - period + 1);
    const cost = isPriced ? units * ((isPlain ? perUnit : 0) - saved) : 0;
    served.push({ period, column: builder.addColumn({ cost, upper: 1 }) });
  }
  const shares = served.map(({ period, column }) => ({
    column,
    coefficient: demandOf(item, period) / scaleMicro,
  }));
  const spending: Term[] = [];
  let packs: number | null = null;
  let quantity: readonly Term[] = shares;
  if (!isPlain) {
    const step = isWholePacks && packMicro !== null ? packMicro : scaleMicro;
    const column = builder.addColumn({
      cost: isPriced ? (perUnit * step) / MICRO : 0,
      upper: capMicro / step,
      isWhole: isWholePacks,
    });
    quantity = [{ column, coefficient: step / scaleMicro }];
    if (isWholePacks) packs = column;
    builder.addRow(
      [...shares, ...quantity.map((term) => ({ ...term, coefficient: -term.coefficient }))],
      mayExceed ? Number.NEGATIVE_INFINITY : 0,
      0,
    );
    if (!hasBrackets) spending.push({ column, coefficient: (unitCost * step) / MICRO });
    if (hasBrackets && placed !== null) {
      const own = builder.addColumn({ upper: capMicro / scaleMicro });
      builder.addRow([...quantity, { column: own, coefficient: -1 }], 0, 0);
      spending.push(...addBrackets(building, slot, placed, own));
    }
    // an order that is not placed serves nothing, however its packs are rounded
    if (packs !== null) {
      for (const { column: share } of served) {
        builder.addRow(
          [
            { column: share, coefficient: 1 },
            { column: placed ?? packs, coefficient: -1 },
          ],
          Number.NEGATIVE_INFINITY,
          0,
        );
      }
    }
  }
  if (placed !== null) {
    const on = (coefficient: number): Term => ({ column: placed, coefficient });
    if (packs === null) {
      for (const { column } of served) {
        builder.addRow([{ column, coefficient: 1 }, on(-1)], Number.NEGATIVE_INFINITY, 0);
      }
    }
    builder.addRow([...quantity, on(-capMicro / scaleMicro)], Number.NEGATIVE_INFINITY, 0);
    const leastMicro = Math.max(minimumMicro, packs === null ? 0 : (packMicro ?? 0));
    if (leastMicro > 0) {
      builder.addRow([...quantity, on(-leastMicro / scaleMicro)], 0, Number.POSITIVE_INFINITY);
    }
    spending.push(on(slot.orderCost));
  } else if (isPlain) {
    builder.addRow(quantity, Number.NEGATIVE_INFINITY, capMicro / scaleMicro);
  }
  if (keptMicro > 0 && isPriced && changePerUnit > 0) {
    const kept = keptMicro / scaleMicro;
    const apart = builder.addColumn({ cost: (changePerUnit * scaleMicro) / MICRO });
    const apartTerm = { column: apart, coefficient: 1 };
    builder.addRow([...quantity, apartTerm], kept, Number.POSITIVE_INFINITY);
    builder.addRow(
      [...quantity.map((term) => ({ ...term, coefficient: -term.coefficient })), apartTerm],
      -kept,
      Number.POSITIVE_INFINITY,
    );
  }
  return { placed, packs, served, quantity, spending };
}

const usesRoom = (item: PlanItem): boolean => item.storageIndex !== null && item.storagePerUnit > 0;

function addSupplies({ builder, part, item, isPriced }: Building): ServedColumn[][] {
  return item.supplies.map(({ arrives, lastPeriod, quantity }) => {
    const served: ServedColumn[] = [];
    for (let period = arrives; period <= lastPeriod; period += 1) {
      const micro = demandOf(item, period);
      if (micro === 0) continue;
      const saved = item.holdingCostPerUnit * (part.periodCount - period + 1);
      const cost = isPriced ? (-saved * micro) / MICRO : 0;
      served.push({ period, column: builder.addColumn({ cost, upper: 1 }) });
    }
    if (served.length > 0) {
      const terms = served.map(({ period, column }) => ({
        column,
        coefficient: demandOf(item, period) / quantity,
      }));
      builder.addRow(terms, Number.NEGATIVE_INFINITY, 1);
    }
    return served;
  });
}

/**
 * Columns and rows of one item: shares x of each net demand by the order that serves it, x ≤ y for
 * every one, so that the linear model is tight; shelf life leaves out shares; an order holds what it
 * serves, in packs z where it must, q = P·z ≥ Σ d·x, between its minimum and maximum times y.
 *
 * @param mayFallShort adds shortage, at a cost of its share of the item's need, and counts no cost
 * @source krarup-bilde-1977
 */
export function addItem(
  builder: MilpBuilder,
  part: PlanPart,
  item: PlanItem,
  mayFallShort: boolean,
): ItemColumns {
  const scaleMicro = Math.max(1, ...item.netMicro);
  const building = { builder, part, item, scaleMicro, isPriced: !mayFallShort };
  const slots = item.slots.map((slot) => addSlot(building, slot));
  const supplies = addSupplies(building);
  const all = item.netMicro.reduce((sum, micro) => sum + micro, 0);
  const short: ServedColumn[] = [];
  for (const [index, micro] of item.netMicro.entries()) {
    if (micro === 0) continue;
    const period = index + 1;
    const terms = [...slots.map(({ served }) => served), ...supplies].flatMap((served) =>
      served
        .filter((one) => one.period === period)
        .map(({ column }) => ({ column, coefficient: 1 })),
    );
    if (mayFallShort) {
      const column = builder.addColumn({ cost: micro / all, upper: 1 });
      short.push({ period, column });
      terms.push({ column, coefficient: 1 });
    }
    builder.addRow(terms, 1, 1);
  }
  if (!mayFallShort) {
    builder.addOffset(fixedHolding(part, item));
    addRoundedNeeds(builder, item, slots);
  }
  return { scaleMicro, slots, supplies, short };
}

/**
 * Needs up to each period in whole packs, and in whole orders at their maximum: what the linear model
 * may not see, Σ z ≥ ⌈Σ d / P⌉ and Σ y ≥ ⌈Σ d / M⌉.
 */
function addRoundedNeeds(
  builder: MilpBuilder,
  item: PlanItem,
  columns: readonly SlotColumns[],
): void {
  if (item.supplies.length > 0) return;
  const slots = item.slots.map((slot, index) => ({ slot, own: columns[index] }));
  const isPacked = slots.every(({ own }) => own?.packs != null);
  const pack = commonDivisor(item.slots.map(({ packMicro }) => packMicro ?? 0));
  const most = Math.max(...item.slots.map(({ capMicro }) => capMicro));
  const total = item.netMicro.reduce((sum, micro) => sum + micro, 0);
  const isPlaced = most < total && slots.every(({ own }) => own?.placed != null);
  let need = 0;
  for (const [index, micro] of item.netMicro.entries()) {
    need += micro;
    if (micro === 0) continue;
    const inTime = slots.filter(({ slot }) => slot.arrives <= index + 1);
    const add = (terms: Term[], least: number) =>
      builder.addRow(terms, least, Number.POSITIVE_INFINITY);
    if (isPacked && pack > 0) {
      const terms = inTime.map(({ slot, own }) => ({
        column: own?.packs ?? 0,
        coefficient: (slot.packMicro ?? 0) / pack,
      }));
      add(terms, Math.ceil(need / pack));
    }
    if (isPlaced) {
      const terms = inTime.map(({ own }) => ({ column: own?.placed ?? 0, coefficient: 1 }));
      add(terms, Math.ceil(need / most));
    }
  }
}

/** Holding cost of what is there or on order, with the demands that it serves for certain. */
function fixedHolding({ periodCount }: PlanPart, item: PlanItem): number {
  let held = 0;
  for (const [index, fixed] of item.fixedMicro.entries()) {
    const served = (item.demandMicro[index] ?? 0) - (item.netMicro[index] ?? 0);
    held += ((fixed - served) / MICRO) * (periodCount - index);
  }
  return held * item.holdingCostPerUnit;
}
