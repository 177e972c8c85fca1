import type { CuttingProblem } from './cutting-problem.ts';

/** One way to cut a bar, used a number of times: how many of each item of the problem. */
export interface CutRun {
  readonly barIndex: number;
  readonly counts: readonly number[];
  readonly times: number;
}

/**
 * What the runs cost in the problem's objective.
 *
 * @source gilmore-gomory-1961
 */
export function runsWeight(problem: CuttingProblem, runs: readonly CutRun[]): number {
  return runs.reduce((sum, run) => sum + run.times * (problem.bars[run.barIndex]?.weight ?? 0), 0);
}

/**
 * First fit decreasing: each length is filled with the longest pieces that still fit. Of several
 * stocks the one with the lowest weight per unit cut is taken.
 *
 * @returns runs that meet the demand exactly, or null when the stock runs out on the way, which
 *   does not prove that it must
 * @source first-fit-decreasing
 */
export function firstFitDecreasing(problem: CuttingProblem): CutRun[] | null {
  const { items, bars } = problem;
  const left = items.map((item) => item.demand);
  const available = bars.map((bar) => bar.available);
  const runs: CutRun[] = [];
  while (left.some((count) => count > 0)) {
    let best: { barIndex: number; counts: number[]; rate: number } | null = null;
    for (const [barIndex, bar] of bars.entries()) {
      if ((available[barIndex] ?? 0) < 1) continue;
      let room = bar.size;
      const counts = items.map((item, index) => {
        const count = Math.min(left[index] ?? 0, Math.floor(room / item.size));
        room -= count * item.size;
        return count;
      });
      const used = bar.size - room;
      if (used === 0) continue;
      const rate = bar.weight / used;
      if (best === null || rate < best.rate) best = { barIndex, counts, rate };
    }
    if (best === null) return null;
    const { barIndex, counts } = best;
    let times = available[barIndex] ?? 0;
    for (const [index, count] of counts.entries()) {
      if (count > 0) times = Math.min(times, Math.floor((left[index] ?? 0) / count));
    }
    for (const [index, count] of counts.entries()) {
      left[index] = (left[index] ?? 0) - count * times;
    }
    available[barIndex] = (available[barIndex] ?? 0) - times;
    runs.push({ barIndex, counts, times });
  }
  return runs;
}
