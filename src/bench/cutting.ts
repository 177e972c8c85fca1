import type { CuttingPlanBody } from '../../shared/contract/calculation-cutting-plan.ts';
import { firstFitDecreasing } from '../../shared/procurement/cutting-first-fit.ts';
import { cuttingProblem } from '../../shared/procurement/cutting-problem.ts';
import { cuttingPlan } from '../workers/tasks/cutting-plan.ts';
import { printBenchLine } from './bench-line.ts';
import { CUT_LISTS } from './cutting-lists.ts';
import { interleaved } from './median-time.ts';

const ROUNDS = 5;

/** Cutting plans with HiGHS at three sizes against first fit decreasing: time, and stock bought. */
export async function benchCutting(): Promise<void> {
  for (const list of CUT_LISTS) {
    const kinds = list.pieces.length;
    const { oursMs, baselineMs } = await interleaved(
      ROUNDS,
      () => cuttingPlan(list),
      () => firstFit(list),
    );
    const { status, method, stockCount, lowerBoundCount } = await cuttingPlan(list);
    const pieces = list.pieces.reduce((sum, { count }) => sum + count, 0);
    const what = `${kinds} kinds, ${pieces} pieces; ${status} by ${method}`;
    printBenchLine({
      name: `cutting-${kinds}-kinds`,
      value: oursMs,
      unit: 'ms',
      baseline: baselineMs,
      note: `${what}; baseline: first fit decreasing, which proves nothing`,
    });
    printBenchLine({
      name: `cutting-${kinds}-kinds-stock`,
      value: stockCount,
      unit: 'lengths',
      baseline: firstFit(list),
      note: `${what}, no plan below ${lowerBoundCount}; baseline: lengths by first fit decreasing`,
    });
  }
}

function firstFit(list: CuttingPlanBody): number {
  const runs = firstFitDecreasing(cuttingProblem(list)) ?? [];
  return runs.reduce((sum, { times }) => sum + times, 0);
}
