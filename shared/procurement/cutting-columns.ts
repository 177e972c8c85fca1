import { type CutRun, firstFitDecreasing } from './cutting-first-fit.ts';
import { type BarPattern, limitedBars, patternModel, patternRuns } from './cutting-patterns.ts';
import type { CuttingProblem } from './cutting-problem.ts';
import type { SolveLp } from './cutting-types.ts';
import { solveModel } from './lp-text.ts';

/** Rounds of pricing before the bound reached so far is taken. Ours. */
const MAX_ROUNDS = 400;

/** Longest stock, in units, over which a pattern is priced. Ours. */
export const MAX_PRICED_SIZE = 60_000;

export interface ColumnResult {
  readonly runs: CutRun[] | null;
  /** Bound of the linear model; 0 while pricing had not ended. */
  readonly bound: number;
}

/** The pattern of greatest value in one length, each item at most as often as asked for. */
function bestPattern(
  problem: CuttingProblem,
  size: number,
  values: readonly number[],
): { counts: number[]; value: number } {
  const best = new Float64Array(size + 1);
  // which item, and how many of it, was last added at each filling, one layer per split of demand
  const layers: { item: number; copies: number; taken: Uint8Array }[] = [];
  for (const [item, { size: itemSize, demand }] of problem.items.entries()) {
    const value = values[item] ?? 0;
    if (value <= 0 || itemSize > size) continue;
    let left = Math.min(demand, Math.floor(size / itemSize));
    for (let copies = 1; left > 0; copies *= 2) {
      const now = Math.min(copies, left);
      left -= now;
      const taken = new Uint8Array(size + 1);
      for (let fill = size; fill >= now * itemSize; fill -= 1) {
        const with_ = (best[fill - now * itemSize] ?? 0) + now * value;
        if (with_ > (best[fill] ?? 0)) {
          best[fill] = with_;
          taken[fill] = 1;
        }
      }
      layers.push({ item, copies: now, taken });
    }
  }
  const counts = problem.items.map(() => 0);
  let fill = size;
  for (const { item, copies, taken } of layers.reverse()) {
    if (taken[fill] !== 1) continue;
    counts[item] = (counts[item] ?? 0) + copies;
    fill -= copies * (problem.items[item]?.size ?? 0);
  }
  return { counts, value: best[size] ?? 0 };
}

/**
 * Column generation: the linear pattern model grows by the pattern that its duals price best until
 * none helps; then the whole-number model over the patterns found. Its optimum over those patterns
 * may lie above the true one, so the bound of the linear model goes with it.
 *
 * @returns null when stock is limited and first fit finds no plan to begin with
 * @source gilmore-gomory-1961
 */
export function generateColumns(
  problem: CuttingProblem,
  solve: SolveLp,
  timeLimitS: number,
): ColumnResult | null {
  const start = firstFitDecreasing(problem);
  if (start === null) return null;
  const patterns: BarPattern[] = start.map(({ barIndex, counts }) => ({ barIndex, counts }));
  const keys = new Set(patterns.map((pattern) => JSON.stringify(pattern)));
  let bound = 0;
  for (let round = 0; round < MAX_ROUNDS; round += 1) {
    const outcome = solveModel(patternModel(problem, patterns, false), solve, timeLimitS);
    const duals = outcome.dualByRow;
    if (outcome.status !== 'Optimal' || duals === undefined) break;
    const limited = limitedBars(problem, patterns);
    let isPriced = true;
    for (const [barIndex, bar] of problem.bars.entries()) {
      if (bar.available === 0) continue;
      const limitRow = limited.indexOf(barIndex);
      const limitDual = limitRow < 0 ? 0 : (duals[problem.items.length + limitRow] ?? 0);
      const { counts, value } = bestPattern(problem, bar.size, duals);
      if (value <= bar.weight - limitDual + 1e-7) continue;
      const pattern = { barIndex, counts };
      const key = JSON.stringify(pattern);
      if (keys.has(key)) continue;
      keys.add(key);
      patterns.push(pattern);
      isPriced = false;
    }
    if (isPriced) {
      bound = outcome.objectiveValue ?? 0;
      break;
    }
  }
  const whole = solveModel(patternModel(problem, patterns, true), solve, timeLimitS);
  return { runs: patternRuns(patterns, whole), bound };
}
