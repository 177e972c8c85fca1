import type { CutRun } from './cutting-first-fit.ts';
import type { CuttingProblem } from './cutting-problem.ts';
import type { CuttingPattern } from './cutting-types.ts';

/**
 * Runs in which every item is cut exactly as often as asked: what a model cut beyond that is left
 * in the length.
 *
 * @returns null when an item falls short
 * @source gilmore-gomory-1961
 */
export function exactRuns(problem: CuttingProblem, runs: readonly CutRun[]): CutRun[] | null {
  let current: CutRun[] = [...runs];
  for (const [item, { demand }] of problem.items.entries()) {
    const cut = current.reduce((sum, run) => sum + (run.counts[item] ?? 0) * run.times, 0);
    if (cut < demand) return null;
    let surplus = cut - demand;
    current = current.flatMap((run): CutRun[] => {
      const count = run.counts[item] ?? 0;
      if (surplus === 0 || count === 0) return [run];
      const without = (removed: number): number[] =>
        run.counts.map((value, index) => (index === item ? value - removed : value));
      const emptied = Math.min(run.times, Math.floor(surplus / count));
      surplus -= emptied * count;
      const partly = surplus > 0 && emptied < run.times ? surplus : 0;
      surplus -= partly;
      return [
        { ...run, times: run.times - emptied - (partly > 0 ? 1 : 0) },
        { ...run, counts: without(count), times: emptied },
        { ...run, counts: without(partly), times: partly > 0 ? 1 : 0 },
      ].filter(({ times }) => times > 0);
    });
  }
  return current.filter((run) => run.counts.some((count) => count > 0));
}

/**
 * Runs as patterns with the names of the pieces; pieces of one length are handed out in the order
 * given. Equal patterns are joined, longest run first.
 *
 * The offcut is L − Σl − n·s: one saw cut after each piece, none where the last piece ends the
 * length, and never below 0.
 *
 * @source gilmore-gomory-1961
 */
export function namedPatterns(problem: CuttingProblem, runs: readonly CutRun[]): CuttingPattern[] {
  const queues = problem.items.map((item) => item.pieces.map((piece) => ({ ...piece })));
  const patterns = new Map<string, CuttingPattern>();
  for (const run of runs) {
    const bar = problem.bars[run.barIndex];
    if (bar === undefined) continue;
    const cut = run.counts.reduce(
      (sum, n, item) =>
        sum + n * ((problem.items[item]?.lengthThousandths ?? 0) + problem.kerfThousandths),
      0,
    );
    const offcutMm = Math.max(0, bar.lengthThousandths - cut) / 1000;
    let left = run.times;
    while (left > 0) {
      // as many lengths at once as have the same names
      let times = left;
      for (const [item, count] of run.counts.entries()) {
        const first = queues[item]?.[0];
        if (count > 0 && first !== undefined) {
          times = Math.min(times, Math.max(1, Math.floor(first.count / count)));
        }
      }
      const pieces = run.counts.flatMap((count, item) => take(queues[item] ?? [], count, times));
      const key = JSON.stringify([bar.id, pieces]);
      const known = patterns.get(key)?.times ?? 0;
      patterns.set(key, { stockId: bar.id, times: known + times, pieces, offcutMm });
      left -= times;
    }
  }
  return [...patterns.values()].sort((a, b) => b.times - a.times);
}

/** Takes `count` pieces for each of `times` lengths off the front of a queue. */
function take(
  queue: { id: string; count: number }[],
  count: number,
  times: number,
): { id: string; count: number }[] {
  const taken: { id: string; count: number }[] = [];
  let wanted = count;
  while (wanted > 0) {
    const first = queue[0];
    if (first === undefined) break;
    const each = Math.min(wanted, Math.floor(first.count / times));
    if (each > 0) taken.push({ id: first.id, count: each });
    first.count -= each * times;
    wanted -= each;
    if (first.count === 0) queue.shift();
    else if (each === 0) break;
  }
  return taken;
}
