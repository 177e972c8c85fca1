import type { ProjectNetwork } from './project-network.ts';

/**
 * Days that the longest chain of work and waits behind each activity takes. Work counts its days
 * without calendars, so that a true plan never has less left. The longer, the earlier its latest
 * finish.
 *
 * @returns by activity: days from its finish to the end of the longest chain behind it
 * @source critical-path
 */
export function tailDays(network: ProjectNetwork): Int32Array {
  const { successors, order, durationDays } = network;
  const tail = new Int32Array(order.length);
  for (let place = order.length - 1; place >= 0; place -= 1) {
    const activity = order[place] as number;
    const end = successors.from[activity + 1] as number;
    for (let row = successors.from[activity] as number; row < end; row += 1) {
      const next = successors.other[row] as number;
      const chain =
        (successors.minimumLagDays[row] as number) +
        (durationDays[next] as number) +
        (tail[next] as number);
      if (chain > (tail[activity] as number)) tail[activity] = chain;
    }
  }
  return tail;
}
