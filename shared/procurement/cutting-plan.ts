import Big from 'big.js';
import { EngineError, requireNotNegative, requirePositive } from '../errors.ts';
import { arcFlowGraph, arcFlowModel, arcFlowRuns } from './cutting-arc-flow.ts';
import { generateColumns, MAX_PRICED_SIZE } from './cutting-columns.ts';
import { type CutRun, firstFitDecreasing, runsWeight } from './cutting-first-fit.ts';
import { maximalPatterns, patternModel, patternRuns } from './cutting-patterns.ts';
import {
  type CuttingProblem,
  cuttingProblem,
  impossibleReason,
  materialBound,
  materialBoundCount,
  raisedBound,
} from './cutting-problem.ts';
import { exactRuns, namedPatterns } from './cutting-runs.ts';
import type {
  CuttingInput,
  CuttingMethod,
  CuttingPlan,
  CuttingStock,
  LpOutcome,
  SolveLp,
} from './cutting-types.ts';
import { type LpModel, solveModel } from './lp-text.ts';

/** Sizes up to which each model is used. Ours, from trials with HiGHS. */
const MAX_PATTERNS = 1500;
const MAX_ARCS = 8000;
const DEFAULT_TIME_LIMIT_S = 10;

interface Attempt {
  readonly method: CuttingMethod;
  readonly runs: CutRun[] | null;
  /** Bound on the objective by the solver; 0 when it gave none. */
  readonly bound: number;
  readonly isInfeasible: boolean;
}

/** Solves a model in whole numbers, and as a linear one for its bound when that is not proved. */
function solved(
  method: CuttingMethod,
  model: (isInteger: boolean) => LpModel,
  runsOf: (outcome: LpOutcome) => CutRun[] | null,
  solve: SolveLp,
  timeLimitS: number,
): Attempt {
  const outcome = solveModel(model(true), solve, timeLimitS);
  if (outcome.status === 'Infeasible') return { method, runs: null, bound: 0, isInfeasible: true };
  const runs = runsOf(outcome);
  if (outcome.status === 'Optimal') {
    return { method, runs, bound: outcome.objectiveValue ?? 0, isInfeasible: false };
  }
  const linear = solveModel(model(false), solve, timeLimitS);
  const bound = linear.status === 'Optimal' ? (linear.objectiveValue ?? 0) : 0;
  return { method, runs, bound, isInfeasible: linear.status === 'Infeasible' };
}

function attempt(problem: CuttingProblem, solve: SolveLp, timeLimitS: number): Attempt {
  const patterns = maximalPatterns(problem, MAX_PATTERNS);
  if (patterns !== null) {
    const model = (isInteger: boolean) => patternModel(problem, patterns, isInteger);
    return solved(
      'patterns',
      model,
      (outcome) => patternRuns(patterns, outcome),
      solve,
      timeLimitS,
    );
  }
  const generated = byColumns(problem, solve, timeLimitS);
  if (generated.runs !== null && isProved(problem, generated.runs, generated.bound)) {
    return generated;
  }
  const graph = arcFlowGraph(problem, MAX_ARCS);
  if (graph === null) return generated;
  const flow = solved(
    'arc-flow',
    (isInteger) => arcFlowModel(problem, graph, isInteger),
    (outcome) => arcFlowRuns(problem, graph, outcome),
    solve,
    timeLimitS,
  );
  if (flow.isInfeasible) return flow;
  const bound = Math.max(flow.bound, generated.bound);
  const isFlowBetter =
    flow.runs !== null &&
    (generated.runs === null ||
      runsWeight(problem, flow.runs) <= runsWeight(problem, generated.runs));
  return { ...(isFlowBetter ? flow : generated), bound };
}

function byColumns(problem: CuttingProblem, solve: SolveLp, timeLimitS: number): Attempt {
  const longest = Math.max(...problem.bars.map((bar) => bar.size));
  const generated = longest > MAX_PRICED_SIZE ? null : generateColumns(problem, solve, timeLimitS);
  return { method: 'columns', runs: null, bound: 0, isInfeasible: false, ...generated };
}

function isProved(problem: CuttingProblem, runs: readonly CutRun[], bound: number): boolean {
  return runsWeight(problem, runs) <= raisedBound(problem, bound) * (1 + 1e-9);
}

/** Runs with the demand met exactly, or null when they fall short or use more than there is. */
function checkedRuns(problem: CuttingProblem, runs: CutRun[] | null): CutRun[] | null {
  if (runs === null) return null;
  const exact = exactRuns(problem, runs);
  if (exact === null) return null;
  const isAvailable = problem.bars.every((bar, barIndex) => {
    const used = exact.filter((run) => run.barIndex === barIndex);
    return used.reduce((sum, run) => sum + run.times, 0) <= bar.available;
  });
  const doesFit = exact.every((run) => {
    const used = run.counts.reduce((s, n, i) => s + n * (problem.items[i]?.size ?? 0), 0);
    return used <= (problem.bars[run.barIndex]?.size ?? 0);
  });
  return isAvailable && doesFit ? exact : null;
}

function totalCost(stock: readonly CuttingStock[], runs: readonly CutRun[]): number {
  return runs
    .reduce(
      (sum, run) => sum.plus(new Big(stock[run.barIndex]?.cost ?? 0).times(run.times)),
      new Big(0),
    )
    .toNumber();
}

function planOf(
  input: CuttingInput,
  problem: CuttingProblem,
  runs: readonly CutRun[],
  found: Pick<CuttingPlan, 'status' | 'method' | 'lowerBound' | 'lowerBoundCount'>,
): CuttingPlan {
  const patterns = namedPatterns(problem, runs);
  const least = input.usableOffcutMm;
  const offcuts = new Map<string, { stockId: string; lengthMm: number; count: number }>();
  for (const { stockId, offcutMm, times } of least === undefined ? [] : patterns) {
    if (least === undefined || offcutMm < least) continue;
    const key = JSON.stringify([stockId, offcutMm]);
    const count = (offcuts.get(key)?.count ?? 0) + times;
    offcuts.set(key, { stockId, lengthMm: offcutMm, count });
  }
  const lengths = runs.reduce(
    (sum, run) => sum + run.times * (problem.bars[run.barIndex]?.lengthThousandths ?? 0),
    0,
  );
  return {
    status: found.status,
    objective: problem.objective,
    method: found.method,
    stockCount: runs.reduce((sum, run) => sum + run.times, 0),
    ...(problem.objective === 'cost' ? { totalCost: totalCost(input.stock, runs) } : {}),
    totalStockMm: lengths / 1000,
    lowerBoundCount: found.lowerBoundCount,
    lowerBound: found.lowerBound,
    patterns,
    usableOffcuts: [...offcuts.values()].sort((a, b) => b.lengthMm - a.lengthMm),
  };
}

function withoutPlan(
  problem: CuttingProblem,
  status: 'infeasible' | 'unsolved',
  reason: string,
  method: CuttingMethod,
): CuttingPlan {
  const count = materialBoundCount(problem);
  const bound = materialBound(problem);
  return {
    status,
    reason,
    objective: problem.objective,
    method,
    stockCount: 0,
    totalStockMm: 0,
    lowerBoundCount: Number.isFinite(count) ? count : 0,
    lowerBound: Number.isFinite(bound) ? bound : 0,
    patterns: [],
    usableOffcuts: [],
  };
}

/**
 * A cutting plan: how many lengths of which stock, and what is cut from each, at the least cost,
 * number or length of stock (see `objective`), with a proof or a bound.
 *
 * Few ways to cut are listed as patterns. Otherwise columns are generated, and where their plan is
 * not proved the arc-flow model is solved while it is small; the better plan and the better bound
 * count. First fit decreasing stands in when the solver finds less. Each model has the time limit to
 * itself.
 *
 * @param solve solves one model in LP text within a time limit; relative gap 0
 * @returns status `optimal` only with a proof: by the solver, or because a bound is reached
 * @throws {EngineError} naming the field of the input, or `solver.status` and `solver.columns` when
 *   the answer does not belong to the model
 * @source gilmore-gomory-1961
 * @source valerio-de-carvalho-1999
 */
export function planCutting(input: CuttingInput, solve: SolveLp): CuttingPlan {
  const timeLimitS = input.timeLimitS ?? DEFAULT_TIME_LIMIT_S;
  requirePositive({ timeLimitS });
  requireNotNegative({ usableOffcutMm: input.usableOffcutMm ?? 0 });
  const problem = cuttingProblem(input);
  const reason = impossibleReason(problem);
  if (reason !== null) return withoutPlan(problem, 'infeasible', reason, 'none');

  const boundCount = materialBoundCount(problem);
  const firstFit = firstFitDecreasing(problem);
  if (firstFit !== null && problem.objective === 'count') {
    if (runsWeight(problem, firstFit) === boundCount) {
      return planOf(input, problem, firstFit, {
        status: 'optimal',
        method: 'bound',
        lowerBound: boundCount,
        lowerBoundCount: boundCount,
      });
    }
  }
  const tried = attempt(problem, solve, timeLimitS);
  if (tried.isInfeasible) {
    if (firstFit !== null) {
      throw new EngineError('inconsistent', 'solver.status', 'Infeasible', 'a plan is known');
    }
    return withoutPlan(problem, 'infeasible', 'the stock does not suffice', tried.method);
  }
  const runs = checkedRuns(problem, tried.runs);
  const isBetter =
    runs !== null &&
    (firstFit === null || runsWeight(problem, runs) <= runsWeight(problem, firstFit) + 1e-9);
  const best = isBetter ? runs : firstFit;
  if (best === null) {
    return withoutPlan(problem, 'unsolved', 'no plan was found in the time given', tried.method);
  }
  const weight = runsWeight(problem, best);
  const raised = Math.max(raisedBound(problem, tried.bound), materialBound(problem));
  const bound = Math.min(raised, weight);
  const lowerBound = Math.round(bound * 1e6) / 1e6;
  return planOf(input, problem, best, {
    status: weight <= bound * (1 + 1e-9) ? 'optimal' : 'feasible',
    method: isBetter ? tried.method : 'first-fit',
    lowerBound,
    lowerBoundCount: problem.objective === 'count' ? lowerBound : boundCount,
  });
}
