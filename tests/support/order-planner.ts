import {
  type MilpOutcome,
  type OrderPlan,
  type OrderPlanInput,
  planOrders,
  type SolveMilp,
} from '../../shared/index.ts';
import { highsMilp } from '../../src/workers/highs-milp.ts';

/** Plans orders with HiGHS, without the limits of a request; a list of what it answered beside. */
export async function orderPlanner(): Promise<{
  plan: (input: OrderPlanInput) => OrderPlan;
  solve: SolveMilp;
  answers: MilpOutcome[];
}> {
  const highs = await highsMilp();
  const answers: MilpOutcome[] = [];
  const solve: SolveMilp = (...asked) => {
    const outcome = highs(...asked);
    answers.push(outcome);
    return outcome;
  };
  const plan = (input: OrderPlanInput): OrderPlan => {
    const startedAtMs = performance.now();
    const elapsedS = () => (performance.now() - startedAtMs) / 1000;
    // generous, so that a busy machine changes nothing
    return planOrders({ timeLimitS: 120, ...input }, { solve, elapsedS });
  };
  return { plan, solve, answers };
}
