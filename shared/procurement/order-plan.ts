import { EngineError, requirePositive } from '../errors.ts';
import type { MilpSolver } from './milp-model.ts';
import { changeCostOf, planFound, roundedCost } from './order-plan-answer.ts';
import { checkOrderPlan } from './order-plan-check.ts';
import { type PartResult, solvePart } from './order-plan-part-solve.ts';
import { isJoint, type PlanPart, planParts } from './order-plan-parts.ts';
import { planProblem } from './order-plan-problem.ts';
import { itemShortfalls, jointShortfalls } from './order-plan-shortfalls.ts';
import type { OrderPlan, OrderPlanInput, Shortfall } from './order-plan-types.ts';

const DEFAULT_TIME_LIMIT_S = 10;
/** Relative distance from the bound up to which a plan counts as optimal. */
const OPTIMAL_GAP = 1e-6;
/** Time kept for naming what cannot be met, of the whole. */
const SHORTFALL_SHARE = 0.25;

function withoutPlan(
  status: 'infeasible' | 'unsolved',
  shortfalls: readonly Shortfall[],
  decomposition: OrderPlan['decomposition'],
): OrderPlan {
  return {
    status,
    totalCost: null,
    costs: null,
    lowerBound: null,
    changeCost: 0,
    orders: [],
    trips: [],
    stockAtEnd: [],
    shortfalls,
    decomposition,
  };
}

/** Small parts first, so that what they leave of their time is there for the large ones. */
const sizeOf = (part: PlanPart): number =>
  part.items.reduce((sum, { slots }) => sum + slots.length, 0) * (isJoint(part) ? 10 : 1);

/**
 * Orders over several periods at the least cost of goods, ordering, stock and trips, so that every
 * need is met in time, with a proof or a bound.
 *
 * An order placed in period p arrives in p + leadPeriods, at the cost of ordering of period p, and
 * may serve from its arrival to shelfLifePeriods later. The holding cost falls on all that is left
 * at the end of each period, the last included; what is past its life stays on hand and is charged,
 * but serves nothing. Items that share no cash limit, trips or storage are solved apart.
 *
 * @param solver solves one sparse model within a time limit, and tells the time since it began
 * @returns the plan, checked apart from the way it was found ({@link checkOrderPlan}); `infeasible`
 *   with the needs that cannot be met, such that the rest can: those of items alone first, those
 *   of what items share only when each item alone can be served
 * @throws {EngineError} naming the field of the input; `solver.…` or `plan` when an answer of the
 *   solver does not hold
 * @source krarup-bilde-1977; wagner-whitin-1958; order-plan-own
 */
export function planOrders(input: OrderPlanInput, solver: MilpSolver): OrderPlan {
  const timeLimitS = input.timeLimitS ?? DEFAULT_TIME_LIMIT_S;
  requirePositive({ timeLimitS });
  const problem = planProblem(input);
  const parts = planParts(problem).sort((a, b) => sizeOf(a) - sizeOf(b));
  let isExact = true;
  const decomposition = () => ({ parts: parts.length, isExact });

  const alone = problem.items.flatMap((item) => itemShortfalls(input, item));
  if (alone.length > 0) return withoutPlan('infeasible', alone, decomposition());

  const solved: { part: PlanPart; orders: NonNullable<PartResult['orders']> }[] = [];
  let bound = 0;
  for (const [index, part] of parts.entries()) {
    const leftS = Math.max(0, timeLimitS - solver.elapsedS());
    const ahead = parts.slice(index).reduce((sum, other) => sum + sizeOf(other), 0);
    const share = ahead === 0 ? 1 : Math.max(sizeOf(part) / ahead, 1 / (parts.length - index));
    const found = solvePart(
      part,
      solver,
      leftS * share * (isJoint(part) ? 1 - SHORTFALL_SHARE / 5 : 1),
    );
    isExact = isExact && found.isWhole;
    if (found.isInfeasible) {
      const limitS = Math.max(SHORTFALL_SHARE * timeLimitS, timeLimitS - solver.elapsedS());
      const together = jointShortfalls(input, part, solver, limitS);
      return together === null || together.length === 0
        ? withoutPlan('infeasible', [unnamed(part)], decomposition())
        : withoutPlan('infeasible', together, decomposition());
    }
    if (found.orders === null) return withoutPlan('unsolved', [], decomposition());
    bound += found.bound;
    solved.push({ part, orders: found.orders });
  }
  const plan = planFound(input, solved);
  const objective = (plan.totalCost ?? 0) + plan.changeCost;
  const least = bound + droppedCost(input, problem);
  const gap = objective <= 0 ? 0 : (objective - least) / objective;
  const answer: OrderPlan = {
    status: gap <= OPTIMAL_GAP ? 'optimal' : 'feasible',
    ...plan,
    // a bound that meets the cost to the last digits that doubles hold is that cost
    lowerBound:
      gap <= 1e-9 ? roundedCost(objective) : Math.min(objective, Math.floor(least * 1e6) / 1e6),
    shortfalls: [],
    decomposition: decomposition(),
  };
  const [fault] = checkOrderPlan(input, answer);
  if (fault) throw new EngineError('inconsistent', 'plan', fault.path, fault.message);
  return answer;
}

/** Infeasible as proved, but no need was named in the time given. */
const unnamed = (part: PlanPart): Shortfall => ({
  itemId: part.items[0]?.id ?? '',
  period: 1,
  quantity: 0,
  reason: 'joint-limits',
  detail:
    'cash, trips or storage do not allow all the needs together; which of them was not found in the time given',
});

/** Penalty of earlier orders that no offer allows any more: every plan pays it. */
function droppedCost(input: OrderPlanInput, { items }: ReturnType<typeof planProblem>): number {
  const keep = (input.keep ?? []).filter((order) => {
    const item = items.find(({ id }) => id === order.itemId);
    const offers = input.items[item?.itemIndex ?? -1]?.offers ?? [];
    return !(item?.slots ?? []).some(({ offerIndex, placed }) => {
      const offer = offers[offerIndex];
      return (
        placed === order.placedInPeriod &&
        offer?.supplierId === order.supplierId &&
        offer.offerId === order.offerId
      );
    });
  });
  return changeCostOf({ keep, changePenalty: input.changePenalty }, []);
}
