import { EngineError } from '../errors.ts';
import { deliveryCalendarPlan } from './delivery-calendar.ts';
import { type MilpHints, type MilpSolver, solveMilp } from './milp-model.ts';
import { type PartModel, partModel } from './order-plan-model.ts';
import type { PlanPart } from './order-plan-parts.ts';
import { dynamicPlan, greedyPlans, plainBound } from './order-plan-quick.ts';
import { sequentialPlan } from './order-plan-sequence.ts';
import { ordersOf } from './order-plan-solution.ts';
import { tripBound } from './order-plan-trip-bound.ts';
import { costOf, isAllowed, type PartOrders, partUsage } from './order-plan-usage.ts';

/** Columns up to which a part is put to the solver as one model. Ours, from trials with HiGHS. */
export const MAX_MODEL_COLUMNS = 60_000;
/** Least time that a model gets when the time is over. */
const LEAST_MODEL_S = 0.1;
/** Objectives are brought to about this size, so that a solver's absolute tolerances are small. */
const COST_MAGNITUDE = 1_000;
/** Share of a part's time that looking for a good plan before the solver may take. */
const SEARCH_SHARE = 0.3;
/** Share of it that the bound of shared trips may take. */
const BOUND_SHARE = 0.15;

export interface PartResult {
  /** Null when none was found. */
  readonly orders: PartOrders | null;
  /** No orders cost less, changes counted. */
  readonly bound: number;
  readonly isInfeasible: boolean;
  /** False when the part was too large for one model. */
  readonly isWhole: boolean;
}

interface Best {
  readonly orders: PartOrders;
  readonly cost: number;
}

function cheapest(part: PlanPart, plans: readonly (PartOrders | null)[]): Best | null {
  let best: Best | null = null;
  for (const orders of plans) {
    if (orders === null || !isAllowed(part, orders)) continue;
    const cost = costOf(partUsage(part, orders));
    if (best === null || cost < best.cost) best = { orders, cost };
  }
  return best;
}

/** Columns that a model of the part would have, without building it. */
function columnCount(part: PlanPart): number {
  let count = 0;
  for (const { slots, supplies, netMicro } of part.items) {
    for (const { arrives, lastPeriod, brackets } of [
      ...slots,
      ...supplies.map((supply) => ({ ...supply, brackets: [] })),
    ]) {
      const needs = netMicro.slice(arrives - 1, lastPeriod).filter((micro) => micro > 0).length;
      count += needs + 2 + 2 * brackets.length;
    }
  }
  return count;
}

/** Which orders a known plan places, and how many packs: what the rest of a solution follows from. */
function startOf(part: PlanPart, { items }: PartModel, orders: PartOrders): MilpHints['start'] {
  const columns: number[] = [];
  const values: number[] = [];
  for (const [at, item] of part.items.entries()) {
    for (const [index, slot] of item.slots.entries()) {
      const own = items[at]?.slots[index];
      const micro = orders[at]?.[index] ?? 0;
      if (own?.placed != null) {
        columns.push(own.placed);
        values.push(micro > 0 ? 1 : 0);
      }
      if (own?.packs != null && slot.packMicro !== null) {
        columns.push(own.packs);
        values.push(Math.round(micro / slot.packMicro));
      }
    }
  }
  return { columns, values };
}

/** A part as one model. */
function onePart(part: PlanPart, solver: MilpSolver, timeLimitS: number): PartResult {
  const endsAtS = solver.elapsedS() + timeLimitS;
  const exact = dynamicPlan(part);
  if (exact !== null) {
    const bound = costOf(partUsage(part, exact));
    return { orders: exact, bound, isInfeasible: false, isWhole: true };
  }
  const searchEndsAtS = solver.elapsedS() + SEARCH_SHARE * timeLimitS;
  const searched = deliveryCalendarPlan(part, () => solver.elapsedS() > searchEndsAtS);
  const quick = cheapest(part, [searched, ...greedyPlans(part)]);
  const boundEndsAtS = solver.elapsedS() + BOUND_SHARE * timeLimitS;
  const least = Math.max(
    plainBound(part),
    quick === null ? 0 : tripBound(part, quick.cost, () => solver.elapsedS() > boundEndsAtS),
  );
  if (quick !== null && quick.cost <= least * (1 + Math.max(part.gapRatio, 1e-9))) {
    return { orders: quick.orders, bound: least, isInfeasible: false, isWhole: true };
  }
  const model = partModel(part);
  const costScale = Math.max(quick?.cost ?? least, 1e-6) / COST_MAGNITUDE;
  const outcome = solveMilp(
    model.builder.model(costScale),
    solver.solve,
    Math.max(endsAtS - solver.elapsedS(), LEAST_MODEL_S),
    {
      gapRatio: part.gapRatio,
      start: quick === null ? undefined : startOf(part, model, quick.orders),
    },
  );
  if (outcome.status === 'infeasible') {
    if (quick !== null) {
      throw new EngineError('inconsistent', 'solver.status', 'infeasible', 'a plan is known');
    }
    return { orders: null, bound: least, isInfeasible: true, isWhole: true };
  }
  const found = outcome.values === null ? null : ordersOf(part, model, outcome.values);
  const best = cheapest(part, [quick?.orders ?? null, found]);
  const bound = Math.max(least, outcome.bound === null ? 0 : outcome.bound * costScale);
  return { orders: best?.orders ?? null, bound, isInfeasible: false, isWhole: true };
}

/**
 * Orders of one part at the least cost, with a bound.
 *
 * By dynamic programming where that is exact; else as one model; a part with more columns than a
 * model may have is planned item by item, each with what the others leave, and its bound is that of
 * the items without what they share. Plans made period by period stand in when the solver finds
 * less.
 *
 * @param timeLimitS for this part, by the solver's clock
 * @source wagner-whitin-1958; krarup-bilde-1977; order-plan-own
 */
export function solvePart(
  part: PlanPart,
  solver: MilpSolver,
  timeLimitS: number,
  maxColumns = MAX_MODEL_COLUMNS,
): PartResult {
  const endsAtS = solver.elapsedS() + timeLimitS;
  const isWhole = part.items.length === 1 || columnCount(part) <= maxColumns;
  if (isWhole) {
    const found = onePart(part, solver, timeLimitS);
    if (found.orders !== null || found.isInfeasible || part.items.length === 1) return found;
    const parted = sequentialPlan(part, solver, endsAtS, onePart, false);
    return { ...found, orders: cheapest(part, [parted])?.orders ?? null };
  }
  const searchEndsAtS = solver.elapsedS() + SEARCH_SHARE * timeLimitS;
  const searched = deliveryCalendarPlan(part, () => solver.elapsedS() > searchEndsAtS);
  const isOver = () => solver.elapsedS() > searchEndsAtS;
  const quick = cheapest(part, [searched, ...greedyPlans(part, isOver)]);
  const parted = sequentialPlan(part, solver, endsAtS, onePart, quick !== null);
  const best = cheapest(part, [quick?.orders ?? null, parted]);
  return {
    orders: best?.orders ?? null,
    bound: Math.max(
      plainBound(part),
      best === null ? 0 : tripBound(part, best.cost, () => solver.elapsedS() > endsAtS),
    ),
    isInfeasible: false,
    isWhole: false,
  };
}
