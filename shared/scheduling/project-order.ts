import { EngineError } from '../errors.ts';

/** Successors by row: those of `a` stand from `from[a]` to before `from[a + 1]`. */
interface SuccessorRows {
  readonly from: Int32Array;
  readonly other: Int32Array;
}

/** Names of a cycle that an error shows before it is cut short. */
const SHOWN = 12;

/**
 * All activities, each after its predecessors, in the order of their numbers where those allow it.
 *
 * @throws {EngineError} `cyclic-network` naming the activities of one cycle in their order
 * @source critical-path
 */
export function topologicalOrder(ids: readonly string[], successors: SuccessorRows): Int32Array {
  const { from, other } = successors;
  const waiting = new Int32Array(ids.length);
  for (const after of other) waiting[after] = (waiting[after] as number) + 1;
  const order = new Int32Array(ids.length);
  let reached = 0;
  for (let at = 0; at < ids.length; at += 1) if (waiting[at] === 0) order[reached++] = at;
  for (let done = 0; done < reached; done += 1) {
    const at = order[done] as number;
    for (let row = from[at] as number; row < (from[at + 1] as number); row += 1) {
      const after = other[row] as number;
      waiting[after] = (waiting[after] as number) - 1;
      if (waiting[after] === 0) order[reached++] = after;
    }
  }
  if (reached < ids.length) throw cyclic(ids, successors, waiting);
  return order;
}

/** Walks from waiting predecessor to waiting predecessor until one comes a second time. */
function cyclic(ids: readonly string[], { from, other }: SuccessorRows, waiting: Int32Array) {
  const blockedBy = new Int32Array(ids.length).fill(-1);
  for (let at = 0; at < ids.length; at += 1) {
    if (waiting[at] === 0) continue;
    for (let row = from[at] as number; row < (from[at + 1] as number); row += 1) {
      blockedBy[other[row] as number] = at;
    }
  }
  let at = waiting.findIndex((count) => count > 0);
  const seen = new Set<number>();
  while (!seen.has(at)) {
    seen.add(at);
    at = blockedBy[at] as number;
  }
  const cycle = [...seen].slice([...seen].indexOf(at)).reverse();
  const names = cycle.map((one) => ids[one] ?? '');
  const shown = names.length > SHOWN ? [...names.slice(0, SHOWN), '…'] : names;
  return new EngineError(
    'cyclic-network',
    `activities[${cycle[0]}].after`,
    [...shown, names[0]].join(' → '),
    'must not lead back to the same activity',
  );
}
