import { ORDER_PLAN_TIME_LIMIT_S } from '../../../shared/contract/calculation-order-plan.ts';
import { EngineError } from '../../../shared/errors.ts';
import type { SolveMilp } from '../../../shared/procurement/milp-model.ts';
import { planOrders } from '../../../shared/procurement/order-plan.ts';
import type { OrderPlan, OrderPlanInput } from '../../../shared/procurement/order-plan-types.ts';
import { highsMilp } from '../highs-milp.ts';

/** Once the time is over, a model still gets this long; after the grace none is begun. */
const LEAST_MODEL_S = 0.1;
const GRACE_S = 2;

let loading: Promise<SolveMilp> | null = null;

/** Plans orders with HiGHS; all models together keep to the time limit of the plan. */
export async function orderPlan(body: OrderPlanInput): Promise<OrderPlan> {
  loading ??= highsMilp();
  const highs = await loading;
  const timeLimitS = body.timeLimitS ?? ORDER_PLAN_TIME_LIMIT_S.default;
  const startedAtMs = performance.now();
  const elapsedS = () => (performance.now() - startedAtMs) / 1000;
  const solve: SolveMilp = (model, modelLimitS, hints) => {
    const leftS = timeLimitS - elapsedS();
    if (leftS < -GRACE_S) return { status: 'time-limit', values: null, bound: null };
    return highs(model, Math.min(modelLimitS, Math.max(leftS, LEAST_MODEL_S)), hints);
  };
  try {
    return planOrders({ ...body, timeLimitS }, { solve, elapsedS });
  } catch (error) {
    const isOurs =
      !(error instanceof EngineError) ||
      error.parameter.startsWith('solver.') ||
      error.parameter === 'plan';
    if (!isOurs) throw error;
    // A solver that failed is not trusted with the next plan; its fault is not the caller's.
    loading = null;
    throw new Error('The solver failed on an order plan', { cause: error });
  }
}
