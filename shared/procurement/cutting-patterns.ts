import type { CutRun } from './cutting-first-fit.ts';
import type { CuttingProblem } from './cutting-problem.ts';
import type { LpOutcome } from './cutting-types.ts';
import type { LpModel } from './lp-text.ts';

/** A way to cut one length of a stock. */
export interface BarPattern {
  readonly barIndex: number;
  readonly counts: readonly number[];
}

/**
 * All maximal patterns of a problem: no further piece that is asked for fits into the rest.
 *
 * @param limit most patterns wanted
 * @returns null when there are more than the limit, or the search for them is too long
 * @source gilmore-gomory-1961
 */
export function maximalPatterns(problem: CuttingProblem, limit: number): BarPattern[] | null {
  const { items, bars } = problem;
  const found: BarPattern[] = [];
  let steps = 0;
  const extend = (barIndex: number, item: number, room: number, counts: number[]): boolean => {
    steps += 1;
    if (steps > 50 * limit) return false;
    const size = items[item]?.size;
    if (size === undefined) {
      const isMaximal = items.every(
        (other, index) => other.size > room || (counts[index] ?? 0) >= other.demand,
      );
      if (isMaximal && counts.some((count) => count > 0)) {
        found.push({ barIndex, counts: [...counts] });
      }
      return found.length <= limit;
    }
    const most = Math.min(items[item]?.demand ?? 0, Math.floor(room / size));
    for (let count = most; count >= 0; count -= 1) {
      counts[item] = count;
      if (!extend(barIndex, item + 1, room - count * size, counts)) return false;
    }
    return true;
  };
  for (const [barIndex, bar] of bars.entries()) {
    if (bar.available === 0) continue;
    if (!extend(barIndex, 0, bar.size, [])) return null;
  }
  return found;
}

/**
 * The pattern model: min Σ c·x, Σ a·x ≥ d for every item, Σ x ≤ A for every limited stock, x whole.
 *
 * Rows: one per item, then one per limited stock that has a pattern. Column p0 is the first pattern.
 *
 * @source gilmore-gomory-1961
 */
export function patternModel(
  problem: CuttingProblem,
  patterns: readonly BarPattern[],
  isInteger: boolean,
): LpModel {
  const columns = patterns.map((pattern, index) => ({ ...pattern, column: `p${index}` }));
  const demandRows = problem.items.map((item, index) => ({
    terms: columns
      .filter(({ counts }) => (counts[index] ?? 0) > 0)
      .map(({ column, counts }) => ({ column, coefficient: counts[index] ?? 0 })),
    sense: '>=' as const,
    rightSide: item.demand,
  }));
  return {
    objective: columns.map(({ column, barIndex }) => ({
      column,
      coefficient: problem.bars[barIndex]?.weight ?? 0,
    })),
    rows: [...demandRows, ...limitRows(problem, columns)],
    upperBounds: [],
    isInteger,
  };
}

function limitRows(
  problem: CuttingProblem,
  columns: readonly (BarPattern & { readonly column: string })[],
): LpModel['rows'][number][] {
  return limitedBars(problem, columns).map((barIndex) => ({
    terms: columns
      .filter((column) => column.barIndex === barIndex)
      .map(({ column }) => ({ column, coefficient: 1 })),
    sense: '<=' as const,
    rightSide: problem.bars[barIndex]?.available ?? 0,
  }));
}

/**
 * Stocks of limited number that have a pattern, in the order of their rows in the model.
 *
 * @source gilmore-gomory-1961
 */
export function limitedBars(problem: CuttingProblem, patterns: readonly BarPattern[]): number[] {
  return [...problem.bars.keys()].filter(
    (barIndex) =>
      Number.isFinite(problem.bars[barIndex]?.available) &&
      patterns.some((pattern) => pattern.barIndex === barIndex),
  );
}

/**
 * Runs of a solved pattern model; a value that is not whole gives null.
 *
 * @source gilmore-gomory-1961
 */
export function patternRuns(patterns: readonly BarPattern[], outcome: LpOutcome): CutRun[] | null {
  const runs: CutRun[] = [];
  for (const [index, { barIndex, counts }] of patterns.entries()) {
    const times = wholeValue(outcome.primalByColumn[`p${index}`]);
    if (times === null) return null;
    if (times > 0) runs.push({ barIndex, counts, times });
  }
  return runs;
}

/**
 * A whole, not negative value of a column, or null.
 *
 * @source cplex-lp-format
 */
export function wholeValue(primal: number | null | undefined): number | null {
  if (primal === null || primal === undefined) return null;
  const whole = Math.round(primal);
  return Math.abs(primal - whole) > 1e-4 || whole < 0 ? null : whole;
}
