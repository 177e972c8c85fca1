import type { ListOrder } from './list-order.ts';
import type { ProjectNetwork } from './project-network.ts';
import type { SeededRandom } from './seeded-random.ts';
import { tailDays } from './tail-days.ts';

/** Above this many activities lists are drawn by disturbed keys, in linear time. Ours. */
const MOST_SAMPLED = 1_000;

/**
 * Draws lists for a start population: of the activities whose predecessors are listed, one is drawn
 * with a chance in proportion to regret + 1, the regret being how much earlier its latest finish is
 * than that of the one that can wait longest. Of very many activities, the latest finishes are
 * disturbed by up to a fifth of the longest chain and sorted.
 *
 * @source regret-sampling
 */
export function startLists(network: ProjectNetwork, order: ListOrder, random: SeededRandom) {
  const { predecessors, successors, fixedStartDay } = network;
  const tail = tailDays(network);
  const longest = tail.reduce((most, days) => Math.max(most, days), 0);
  const waiting = new Int32Array(tail.length);
  const open = new Int32Array(tail.length);
  const key = new Int32Array(tail.length);
  const isFixed = (activity: number) => (fixedStartDay[activity] as number) >= 0;
  const waitingAtFirst = Int32Array.from(tail, (_, activity) => {
    const from = predecessors.from[activity] as number;
    return predecessors.other
      .subarray(from, predecessors.from[activity + 1])
      .filter((before) => !isFixed(before)).length;
  });

  const disturbed = (list: Int32Array): void => {
    for (const activity of order.base) {
      const noise = (random() - 0.5) * 0.4 * longest;
      key[activity] = Math.round(longest - (tail[activity] as number) + noise);
    }
    order.byKey(key, list);
  };

  const sampled = (list: Int32Array): void => {
    waiting.set(waitingAtFirst);
    let count = 0;
    for (const activity of order.base) if (waiting[activity] === 0) open[count++] = activity;
    for (let place = 0; place < list.length; place += 1) {
      let least = Number.POSITIVE_INFINITY;
      let sum = count;
      for (let at = 0; at < count; at += 1) {
        const days = tail[open[at] as number] as number;
        sum += days;
        if (days < least) least = days;
      }
      let left = random() * (sum - count * least);
      let at = 0;
      for (; at < count - 1; at += 1) {
        left -= (tail[open[at] as number] as number) - least + 1;
        if (left < 0) break;
      }
      const activity = open[at] as number;
      count -= 1;
      open[at] = open[count] as number;
      list[place] = activity;
      const end = successors.from[activity + 1] as number;
      for (let row = successors.from[activity] as number; row < end; row += 1) {
        const next = successors.other[row] as number;
        if (isFixed(next)) continue;
        waiting[next] = (waiting[next] as number) - 1;
        if (waiting[next] === 0) open[count++] = next;
      }
    }
  };

  return {
    /** Latest finish first; no chance in it. */
    byLatestFinish(list: Int32Array): void {
      for (const activity of order.base) key[activity] = longest - (tail[activity] as number);
      order.byKey(key, list);
    },
    draw: order.count > MOST_SAMPLED ? disturbed : sampled,
  };
}
