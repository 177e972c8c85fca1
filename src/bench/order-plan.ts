import { performance } from 'node:perf_hooks';
import { ORDER_PLAN_TIME_LIMIT_S } from '../../shared/contract/calculation-order-plan.ts';
import { planOrders } from '../../shared/procurement/order-plan.ts';
import type { OrderPlanInput, PlanItemInput } from '../../shared/procurement/order-plan-types.ts';
import { highsMilp } from '../workers/highs-milp.ts';
import { printBenchLine } from './bench-line.ts';

const MATERIALS = 12;
const WEEKS = 26;
/** The most that a request may ask for. */
const TIME_LIMIT_S = ORDER_PLAN_TIME_LIMIT_S.greatest;

/** Whole numbers from 0 to below a limit, the same in every run. */
function numbers(seed: number): (limit: number) => number {
  let state = seed;
  return (limit) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * limit);
  };
}

/** Made-up materials of a season, each sold by two suppliers, one cheaper a unit, one an order. */
function season(): OrderPlanInput {
  const below = numbers(20_261_101);
  const items = Array.from({ length: MATERIALS }, (_, index): PlanItemInput => {
    const unitCost = 2 + below(80) / 10;
    const orderCost = 40 + below(160);
    return {
      id: `material-${index + 1}`,
      demand: Array.from({ length: WEEKS }, () => (below(10) < 3 ? 0 : 10 + below(90))),
      holdingCostPerUnit: Math.round(unitCost * 8) / 1_000,
      ...(index % 4 === 0 ? { shelfLifePeriods: 6 } : {}),
      storageUse: { storageId: 'store', perUnit: 1 + below(3) },
      offers: [
        { supplierId: 'far', unitCost, orderCost: 2 * orderCost },
        { supplierId: 'near', unitCost: Math.round(unitCost * 108) / 100, orderCost },
      ],
    };
  });
  return {
    periodCount: WEEKS,
    items,
    storage: [{ id: 'store', capacityUnits: 2_500 }],
    timeLimitS: TIME_LIMIT_S,
  };
}

/** What is needed each week, bought that week where a unit is cheapest. */
function lotForLotCost({ items }: OrderPlanInput): number {
  return items.reduce((sum, { demand, offers }) => {
    const cheapest = offers.reduce((best, one) => (one.unitCost < best.unitCost ? one : best));
    const weeks = demand.filter((need) => need > 0);
    const ordering = typeof cheapest.orderCost === 'number' ? cheapest.orderCost : 0;
    return weeks.reduce((all, need) => all + need * cheapest.unitCost + ordering, sum);
  }, 0);
}

/** Plans orders of a season in one store, against buying each week's need at the cheapest price. */
export async function benchOrderPlan(): Promise<void> {
  const solve = await highsMilp();
  const input = season();
  const startedAtMs = performance.now();
  const elapsedS = () => (performance.now() - startedAtMs) / 1000;
  const plan = planOrders(input, { solve, elapsedS });
  const seconds = elapsedS();
  if (plan.totalCost === null || plan.lowerBound === null) {
    throw new Error(`No plan came out: ${plan.status}`);
  }
  const what = `${MATERIALS} materials, ${WEEKS} weeks, two suppliers, one store`;
  printBenchLine({
    name: 'order-plan-time',
    value: seconds,
    unit: 's',
    baseline: TIME_LIMIT_S,
    note: `${what}; ${plan.status}; baseline: its time limit`,
  });
  printBenchLine({
    name: 'order-plan-gap',
    value: (plan.totalCost - plan.lowerBound) / plan.totalCost,
    unit: 'ratio',
    baseline: null,
    note: `${what}; cost above the proved bound`,
  });
  const lotForLot = lotForLotCost(input);
  const saved = ((1 - plan.totalCost / lotForLot) * 100).toFixed(1);
  printBenchLine({
    name: 'order-plan-cost',
    value: plan.totalCost,
    unit: 'money',
    baseline: lotForLot,
    note: `${what}; saves ${saved} % of the baseline: each week's need bought that week at the cheapest unit price`,
  });
}
