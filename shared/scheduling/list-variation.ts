import type { ListedSchedule } from './justification.ts';
import type { ProjectNetwork } from './project-network.ts';
import type { SeededRandom } from './seeded-random.ts';

/**
 * A list from two parents: the mother's up to one place, then what is missing of the father's up to
 * another, and the rest in the mother's order.
 *
 * @source hartmann-1998 two-point crossover
 */
export function crossTwoPoints(
  mother: ListedSchedule,
  father: ListedSchedule,
  child: Int32Array,
  random: SeededRandom,
): void {
  const count = child.length;
  const one = Math.floor(random() * count);
  const other = Math.floor(random() * count);
  const second = Math.max(one, other);
  const isListed = new Uint8Array(mother.startDay.length);
  let at = 0;
  const addMissing = (list: Int32Array, until: number): void => {
    for (let place = 0; place < count && at < until; place += 1) {
      const activity = list[place] as number;
      if (isListed[activity] === 1) continue;
      isListed[activity] = 1;
      child[at++] = activity;
    }
  };
  addMissing(mother.list, Math.min(one, other));
  addMissing(father.list, second);
  addMissing(mother.list, count);
}

/**
 * Exchanges neighbours of a list here and there, never an activity with its own predecessor.
 *
 * @param ratio chance of each pair
 * @source hartmann-1998
 */
export function exchangeNeighbours(
  network: ProjectNetwork,
  list: Int32Array,
  ratio: number,
  random: SeededRandom,
): void {
  const { from, other } = network.predecessors;
  // The gaps between chosen pairs are geometric, so that most pairs cost no random number.
  const scale = 1 / Math.log(1 - ratio);
  let place = Math.floor(Math.log(1 - random()) * scale);
  while (place + 1 < list.length) {
    const first = list[place] as number;
    const second = list[place + 1] as number;
    let isFree = true;
    for (let row = from[second] as number; row < (from[second + 1] as number); row += 1) {
      if (other[row] === first) isFree = false;
    }
    if (isFree) {
      list[place] = second;
      list[place + 1] = first;
    }
    place += 1 + Math.floor(Math.log(1 - random()) * scale);
  }
}
