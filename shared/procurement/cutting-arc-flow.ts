import type { CutRun } from './cutting-first-fit.ts';
import { wholeValue } from './cutting-patterns.ts';
import type { CuttingProblem } from './cutting-problem.ts';
import type { LpOutcome } from './cutting-types.ts';
import type { LpModel, LpTerm } from './lp-text.ts';

/** An arc of the graph: an item cut from `from` to `to`, or what is left (item null). */
interface Arc {
  readonly from: number;
  readonly to: number;
  readonly item: number | null;
  readonly column: string;
}

export interface ArcFlow {
  readonly arcs: readonly Arc[];
  /** Stocks that may be used and end at their own node. */
  readonly barIndexes: readonly number[];
}

/**
 * Graph of all ways to cut: nodes are distances along a length, items longest first, each at most
 * as often as it is asked for. Left-over arcs lead to the next end of a stock.
 *
 * @param limit most arcs wanted
 * @returns null when there are more
 * @source valerio-de-carvalho-1999
 */
export function arcFlowGraph(problem: CuttingProblem, limit: number): ArcFlow | null {
  const { items, bars } = problem;
  const barIndexes = [...bars.keys()].filter((index) => (bars[index]?.available ?? 0) > 0);
  const ends = [...new Set(barIndexes.map((index) => bars[index]?.size ?? 0))].sort(
    (a, b) => a - b,
  );
  const longest = ends.at(-1) ?? 0;
  const arcs: Arc[] = [];
  const nodes = new Set([0]);
  for (const [item, { size, demand }] of items.entries()) {
    // fewest copies of this item with which a node is reached
    const copies = new Map([...nodes].map((node): [number, number] => [node, 0]));
    const queue = [...nodes].sort((a, b) => a - b);
    for (let at = 0; at < queue.length; at += 1) {
      const from = queue[at] ?? 0;
      const used = copies.get(from) ?? 0;
      const to = from + size;
      if (used >= demand || to > longest) continue;
      arcs.push({ from, to, item, column: `a${arcs.length}` });
      if (arcs.length > limit) return null;
      const known = copies.get(to);
      if (known === undefined) {
        copies.set(to, used + 1);
        insertSorted(queue, to, at + 1);
      } else if (known > used + 1) copies.set(to, used + 1);
    }
    for (const node of copies.keys()) nodes.add(node);
  }
  for (const end of ends) nodes.add(end);
  for (const from of [...nodes].sort((a, b) => a - b)) {
    const to = ends.find((end) => end > from);
    if (from > 0 && to !== undefined) {
      arcs.push({ from, to, item: null, column: `a${arcs.length}` });
    }
  }
  return arcs.length > limit ? null : { arcs, barIndexes };
}

function insertSorted(queue: number[], value: number, from: number): void {
  let [low, high] = [from, queue.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((queue[middle] ?? 0) < value) low = middle + 1;
    else high = middle;
  }
  queue.splice(low, 0, value);
}

/**
 * The arc-flow model: flow kept at every node, demand met on the arcs of every item, flow leaving
 * at the end of each stock minimised.
 *
 * @source valerio-de-carvalho-1999
 */
export function arcFlowModel(problem: CuttingProblem, graph: ArcFlow, isInteger: boolean): LpModel {
  const balance = new Map<number, LpTerm[]>();
  const add = (node: number, column: string, coefficient: number): void => {
    if (node === 0) return;
    balance.set(node, [...(balance.get(node) ?? []), { column, coefficient }]);
  };
  for (const { from, to, column } of graph.arcs) {
    add(to, column, 1);
    add(from, column, -1);
  }
  for (const barIndex of graph.barIndexes) {
    add(problem.bars[barIndex]?.size ?? 0, `z${barIndex}`, -1);
  }
  return {
    objective: graph.barIndexes.map((barIndex) => ({
      column: `z${barIndex}`,
      coefficient: problem.bars[barIndex]?.weight ?? 0,
    })),
    rows: [
      ...problem.items.map((item, index) => ({
        terms: graph.arcs
          .filter((arc) => arc.item === index)
          .map(({ column }) => ({ column, coefficient: 1 })),
        sense: '>=' as const,
        rightSide: item.demand,
      })),
      ...[...balance.values()].map((terms) => ({ terms, sense: '=' as const, rightSide: 0 })),
    ],
    upperBounds: graph.barIndexes.flatMap((barIndex) => {
      const atMost = problem.bars[barIndex]?.available ?? 0;
      return Number.isFinite(atMost) ? [{ column: `z${barIndex}`, atMost }] : [];
    }),
    isInteger,
  };
}

/**
 * Runs of a solved arc-flow model: its flow taken apart into paths from 0 to the ends of stocks.
 *
 * @returns null when a value is not whole or a path breaks off
 * @source valerio-de-carvalho-1999
 */
export function arcFlowRuns(
  problem: CuttingProblem,
  graph: ArcFlow,
  outcome: LpOutcome,
): CutRun[] | null {
  const flow = new Map<Arc, number>();
  const outgoing = new Map<number, Arc[]>();
  for (const arc of graph.arcs) {
    const value = wholeValue(outcome.primalByColumn[arc.column]);
    if (value === null) return null;
    if (value === 0) continue;
    flow.set(arc, value);
    outgoing.set(arc.from, [...(outgoing.get(arc.from) ?? []), arc]);
  }
  const runs: CutRun[] = [];
  for (const barIndex of graph.barIndexes) {
    let toEnd = wholeValue(outcome.primalByColumn[`z${barIndex}`]);
    if (toEnd === null) return null;
    const end = problem.bars[barIndex]?.size ?? 0;
    while (toEnd > 0) {
      const path = pathTo(end, outgoing, flow);
      if (path === null) return null;
      const times = Math.min(toEnd, ...path.map((arc) => flow.get(arc) ?? 0));
      const counts = problem.items.map(() => 0);
      for (const arc of path) {
        flow.set(arc, (flow.get(arc) ?? 0) - times);
        if (arc.item !== null) counts[arc.item] = (counts[arc.item] ?? 0) + 1;
      }
      runs.push({ barIndex, counts, times });
      toEnd -= times;
    }
  }
  return runs;
}

/** A path of positive flow from 0 to an end, depth first. */
function pathTo(
  end: number,
  outgoing: ReadonlyMap<number, readonly Arc[]>,
  flow: ReadonlyMap<Arc, number>,
): Arc[] | null {
  const dead = new Set<number>();
  const path: Arc[] = [];
  let node = 0;
  while (node !== end) {
    const next = (outgoing.get(node) ?? []).find(
      (arc) => (flow.get(arc) ?? 0) > 0 && arc.to <= end && !dead.has(arc.to),
    );
    if (next !== undefined) {
      path.push(next);
      node = next.to;
      continue;
    }
    dead.add(node);
    const back = path.pop();
    if (back === undefined) return null;
    node = back.from;
  }
  return path;
}
