import { buyingWays } from '../../shared/procurement/buying-ways.ts';
import type { OrderPlan, OrderPlanInput } from '../../shared/procurement/order-plan-types.ts';
import { runInWorker } from '../workers/pool.ts';
import { printBenchLine } from './bench-line.ts';
import { supplySeason } from './supply-season.ts';

const SIZES = [
  { buildCount: 120, timeLimitS: 60 },
  { buildCount: 500, timeLimitS: 60 },
  { buildCount: 2_000, timeLimitS: 120 },
] as const;
/** The same as a season's plan in the service: two lanes, half a second a village at least. */
const LANES = 2;
const LEAST_PART_S = 0.5;
const GRACE_MS = 20_000;
const GAP_RATIO = 0.001;

/** Orders of a whole season planned village by village, against buying for each tank by itself. */
export async function benchSupplyPlan(): Promise<void> {
  for (const { buildCount, timeLimitS } of SIZES) {
    const { input, tankNeeds, villageCount } = supplySeason(buildCount);
    const perTankCost = buyingWays(input, tankNeeds).perTank.totalCost;
    const startedAtMs = performance.now();
    const plans = await solveVillages(byVillage(input), timeLimitS);
    const seconds = (performance.now() - startedAtMs) / 1000;
    const cost = sumOf(plans, ({ totalCost }) => totalCost);
    const bound = sumOf(plans, ({ lowerBound }) => lowerBound);
    const percent = (ratio: number, digits: number) => `${(100 * ratio).toFixed(digits)} %`;
    const proved = plans.filter(({ status }) => status === 'optimal').length;
    printBenchLine({
      name: `supply-plan-${buildCount}-builds`,
      value: cost,
      unit: 'money',
      baseline: perTankCost,
      note: [
        `${villageCount} villages, ${input.items.length} items, ${input.periodCount} weeks`,
        `${seconds.toFixed(1)} s of ${timeLimitS} s in ${LANES} lanes`,
        `gap ${percent((cost - bound) / cost, 2)} to the summed lower bounds, ${proved} villages proved optimal`,
        perTankCost === null
          ? 'no baseline: a tank by itself cannot be served'
          : `saves ${percent(1 - cost / perTankCost, 1)} of the baseline: bought for each tank by itself`,
      ].join('; '),
    });
  }
}

/** The season as separate inputs, one a village. */
function byVillage(input: OrderPlanInput): OrderPlanInput[] {
  const villageOf = (id: string) => id.slice(id.lastIndexOf(' ') + 1);
  const villages = [...new Set(input.items.map(({ id }) => villageOf(id)))];
  return villages.map((village) => ({
    ...input,
    items: input.items.filter(({ id }) => villageOf(id) === village),
    trips: (input.trips ?? []).filter(({ id }) => villageOf(id) === village),
  }));
}

/** Each village gets its share of the time that is left; what one does not use goes to the next. */
async function solveVillages(
  inputs: readonly OrderPlanInput[],
  timeLimitS: number,
): Promise<OrderPlan[]> {
  const startedAtMs = performance.now();
  const plans: OrderPlan[] = [];
  const waiting = [...inputs];
  const work = async () => {
    for (let input = waiting.shift(); input; input = waiting.shift()) {
      const leftS = timeLimitS - (performance.now() - startedAtMs) / 1000;
      const rounds = Math.ceil((waiting.length + 1) / LANES);
      const partS = Math.max(LEAST_PART_S, leftS / rounds);
      plans.push(
        await runInWorker(
          'order-plan',
          { ...input, timeLimitS: partS, gapRatio: GAP_RATIO },
          { timeoutMs: Math.ceil(partS * 1000) + GRACE_MS },
        ),
      );
    }
  };
  await Promise.all(Array.from({ length: LANES }, work));
  return plans;
}

function sumOf(plans: readonly OrderPlan[], of: (plan: OrderPlan) => number | null): number {
  return plans.reduce((total, plan) => {
    const amount = of(plan);
    if (amount === null || plan.shortfalls.length > 0) {
      const [first] = plan.shortfalls;
      throw new Error(`A village has no whole plan: ${plan.status}; ${first?.detail ?? ''}`);
    }
    return total + amount;
  }, 0);
}
