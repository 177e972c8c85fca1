import type { ProjectNetwork } from './project-network.ts';

/** Puts activities in the order of days, with the working memory for it. */
export interface ListOrder {
  /** Activities without a fixed start. */
  readonly count: number;
  /** Those, each after its predecessors. */
  readonly base: Int32Array;
  /** Sorts a list by days, equal days staying as they stand. */
  byDay(list: Int32Array, day: Int32Array): void;
  /** Writes the activities by key; none before its predecessors, whatever the keys say. */
  byKey(key: Int32Array, list: Int32Array): void;
}

/**
 * Stable counting sorts of activity lists: linear in activities and days.
 *
 * @source serial-generation lists
 */
export function listOrder(network: ProjectNetwork): ListOrder {
  const { predecessors, fixedStartDay } = network;
  const base = network.order.filter((activity) => (fixedStartDay[activity] as number) < 0);
  const copy = new Int32Array(base.length);
  let counts = new Int32Array(1024);

  const sort = (from: Int32Array, key: Int32Array, into: Int32Array): void => {
    let least = Number.POSITIVE_INFINITY;
    let most = Number.NEGATIVE_INFINITY;
    for (let place = 0; place < from.length; place += 1) {
      const value = key[from[place] as number] as number;
      if (value < least) least = value;
      if (value > most) most = value;
    }
    const span = most - least + 1;
    if (span + 1 > counts.length) counts = new Int32Array(2 * span + 1);
    else counts.fill(0, 0, span + 1);
    for (let place = 0; place < from.length; place += 1) {
      const slot = (key[from[place] as number] as number) - least + 1;
      counts[slot] = (counts[slot] as number) + 1;
    }
    for (let slot = 1; slot < span; slot += 1) {
      counts[slot] = (counts[slot] as number) + (counts[slot - 1] as number);
    }
    for (let place = 0; place < from.length; place += 1) {
      const activity = from[place] as number;
      const slot = (key[activity] as number) - least;
      into[counts[slot] as number] = activity;
      counts[slot] = (counts[slot] as number) + 1;
    }
  };

  return {
    count: base.length,
    base,
    byDay(list, day) {
      copy.set(list);
      sort(copy, day, list);
    },
    byKey(key, list) {
      for (let place = 0; place < base.length; place += 1) {
        const activity = base[place] as number;
        const end = predecessors.from[activity + 1] as number;
        for (let row = predecessors.from[activity] as number; row < end; row += 1) {
          const before = predecessors.other[row] as number;
          if ((fixedStartDay[before] as number) >= 0) continue;
          if ((key[before] as number) > (key[activity] as number))
            key[activity] = key[before] as number;
        }
      }
      sort(base, key, list);
    },
  };
}
