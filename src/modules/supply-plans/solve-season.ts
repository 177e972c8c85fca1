import { availableParallelism } from 'node:os';
import type {
  OrderPlan,
  OrderPlanInput,
  Shortfall,
} from '../../../shared/procurement/order-plan-types.ts';
import { ruleBroken } from '../../domain/errors.ts';
import type { RunningJob } from '../../jobs/run-job.ts';
import { runInWorker } from '../../workers/pool.ts';
import type { SeasonToPlan } from './read-season.ts';
import { problemInputs } from './season-problem.ts';

/** Worker threads that one season takes at a time. */
const LANES = Math.max(1, Math.min(2, availableParallelism()));
const LEAST_PART_S = 0.5;
const GRACE_MS = 20_000;
/** How often needs that cannot be met are taken out before a part is given up. */
const MAX_REDUCTIONS = 3;

export interface SolvedSeason {
  readonly plan: OrderPlan;
  readonly elapsedS: number;
  readonly done: number;
}

/** Solves the parts of a season side by side; time that one does not use goes to those that follow. */
export async function solveSeason(job: RunningJob, season: SeasonToPlan): Promise<SolvedSeason> {
  const inputs = problemInputs(season.problem, season.common).sort(
    (a, b) => a.items.length - b.items.length,
  );
  const startedMs = performance.now();
  const elapsedS = () => (performance.now() - startedMs) / 1000;
  const total = inputs.length + 1;
  const plans: OrderPlan[] = [];
  const waiting = [...inputs];
  const work = async () => {
    for (let input = waiting.shift(); input; input = waiting.shift()) {
      const leftS = season.settings.timeLimitS - elapsedS();
      const rounds = Math.ceil((waiting.length + 1) / LANES);
      const timeLimitS = Math.max(LEAST_PART_S, leftS / rounds);
      plans.push(await solvePart({ ...input, timeLimitS, gapRatio: season.gapRatio }, job.signal));
      await job.step({ done: plans.length, total }, async () => undefined);
    }
  };
  await Promise.all(Array.from({ length: LANES }, work));
  return { plan: joined(plans), elapsedS: elapsedS(), done: total };
}

/** A part's plan; needs that cannot be met are named and left out, so that the rest is planned. */
async function solvePart(input: OrderPlanInput, signal: AbortSignal): Promise<OrderPlan> {
  const missing: Shortfall[] = [];
  let current = input;
  for (let round = 0; ; round += 1) {
    const timeoutMs = Math.ceil((current.timeLimitS ?? 0) * 1000) + GRACE_MS;
    const plan = await runInWorker('order-plan', current, { timeoutMs, signal });
    const isDone = plan.status === 'optimal' || plan.status === 'feasible';
    if (isDone) return { ...plan, shortfalls: [...missing, ...plan.shortfalls] };
    const named = plan.shortfalls.filter(({ quantity }) => quantity > 0);
    if (named.length === 0 || round === MAX_REDUCTIONS) {
      throw ruleBroken(
        'no-supply-plan-in-time',
        'No plan was found for a part of the season in the time given; allow more time or fewer weeks.',
      );
    }
    missing.push(...named);
    current = without(current, named);
  }
}

/** The input less what of its needs cannot be met. */
export function without(input: OrderPlanInput, shortfalls: readonly Shortfall[]): OrderPlanInput {
  return {
    ...input,
    items: input.items.map((item) => {
      const own = shortfalls.filter(({ itemId }) => itemId === item.id);
      if (own.length === 0) return item;
      const demand = [...item.demand];
      for (const { period, quantity } of own) {
        const rest = (demand[period - 1] ?? 0) - quantity;
        demand[period - 1] = rest < 1e-6 ? 0 : rest;
      }
      return { ...item, demand };
    }),
  };
}

function joined(plans: readonly OrderPlan[]): OrderPlan {
  const sum = (of: (plan: OrderPlan) => number) =>
    plans.reduce((total, plan) => total + of(plan), 0);
  return {
    status: plans.every(({ status }) => status === 'optimal') ? 'optimal' : 'feasible',
    totalCost: sum(({ totalCost }) => totalCost ?? 0),
    lowerBound: sum(({ lowerBound }) => lowerBound ?? 0),
    changeCost: sum(({ changeCost }) => changeCost),
    costs: {
      goods: sum(({ costs }) => costs?.goods ?? 0),
      ordering: sum(({ costs }) => costs?.ordering ?? 0),
      holding: sum(({ costs }) => costs?.holding ?? 0),
      trips: sum(({ costs }) => costs?.trips ?? 0),
    },
    orders: plans.flatMap(({ orders }) => orders),
    trips: plans.flatMap(({ trips }) => trips),
    stockAtEnd: plans.flatMap(({ stockAtEnd }) => stockAtEnd),
    shortfalls: plans.flatMap(({ shortfalls }) => shortfalls),
    decomposition: {
      parts: sum(({ decomposition }) => decomposition.parts),
      isExact: plans.every(({ decomposition }) => decomposition.isExact),
    },
  };
}
