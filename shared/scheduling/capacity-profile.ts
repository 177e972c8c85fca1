import { packedCapacity } from './packed-capacity.ts';
import type { ProjectNetwork } from './project-network.ts';

/** Free capacity day by day, on the day axis or on its mirror image that counts back. */
export interface CapacityProfile {
  /** All free again, save what bookings and fixed starts take; deadline: mirrored, day = it − 1 − place. */
  reset(deadline?: number): void;
  /** First place not before `from` with room for the activity over `length` places. */
  firstFit(activity: number, from: number, length: number): number;
  /** Last place in [from, until) without room for the activity, or −1. */
  lastConflict(activity: number, from: number, until: number): number;
  take(activity: number, from: number, until: number): void;
}

interface WordRequests {
  /** Requests of `a` stand from `from[a]` to before `from[a + 1]`. */
  readonly from: Int32Array;
  readonly word: Int32Array;
  readonly amount: Int32Array;
}

/**
 * The free capacities of a project in guarded bit fields, one word a day for as many resources as
 * fit into it. The arrays grow with the days used; resetting costs only those days.
 *
 * @source guarded-fields
 */
export function capacityProfile(network: ProjectNetwork): CapacityProfile {
  const packed = packedCapacity(network.capacity);
  const { full, guards, wordCount } = packed;
  const { from: rowFrom, word: rowWord, amount: rowAmount } = wordRequests(network, packed);
  const taken = takenBefore(network, packed);
  let stride = Math.max(128, 2 * taken.days);
  let free = freeArray(full, stride);
  /** Places from here on are wholly free. */
  let used = 0;

  const grow = (places: number): void => {
    const longer = Math.max(2 * stride, places);
    const grown = freeArray(full, longer);
    for (let word = 0; word < wordCount; word += 1) {
      grown.set(free.subarray(word * stride, word * stride + used), word * longer);
    }
    free = grown;
    stride = longer;
  };

  return {
    reset(deadline = -1) {
      const mirrored = deadline >= 0 && taken.days > 0;
      const dirty = mirrored ? Math.max(used, deadline) : Math.max(used, taken.days);
      if (dirty > stride) grow(dirty);
      for (let word = 0; word < wordCount; word += 1) {
        const at = word * stride;
        free.fill(full[word] as number, at, at + dirty);
        if (taken.days === 0) continue;
        const from = word * taken.days;
        if (!mirrored) {
          free.set(taken.free.subarray(from, from + taken.days), at);
          continue;
        }
        for (let day = 0; day < Math.min(deadline, taken.days); day += 1) {
          free[at + deadline - 1 - day] = taken.free[from + day] as number;
        }
      }
      used = mirrored ? deadline : taken.days;
    },
    firstFit(activity, from, length) {
      const first = rowFrom[activity] as number;
      const end = rowFrom[activity + 1] as number;
      if (first === end) return from;
      const last = Math.max(from, used) + length;
      if (last > stride) grow(last);
      let start = from;
      if (end - first === 1) {
        const word = rowWord[first] as number;
        const amount = rowAmount[first] as number;
        const guard = guards[word] as number;
        const base = word * stride;
        for (let place = from; place < start + length; place += 1) {
          if ((((free[base + place] as number) - amount) & guard) !== guard) start = place + 1;
        }
        return start;
      }
      for (let place = from; place < start + length; place += 1) {
        for (let row = first; row < end; row += 1) {
          const word = rowWord[row] as number;
          const guard = guards[word] as number;
          const left = (free[word * stride + place] as number) - (rowAmount[row] as number);
          if ((left & guard) !== guard) {
            start = place + 1;
            break;
          }
        }
      }
      return start;
    },
    lastConflict(activity, from, until) {
      let latest = -1;
      for (
        let row = rowFrom[activity] as number;
        row < (rowFrom[activity + 1] as number);
        row += 1
      ) {
        const word = rowWord[row] as number;
        const guard = guards[word] as number;
        for (let place = Math.min(until, used) - 1; place >= from && place > latest; place -= 1) {
          const left = (free[word * stride + place] as number) - (rowAmount[row] as number);
          if ((left & guard) !== guard) latest = place;
        }
      }
      return latest;
    },
    take(activity, from, until) {
      if (until > stride) grow(until);
      if (until > used) used = until;
      for (
        let row = rowFrom[activity] as number;
        row < (rowFrom[activity + 1] as number);
        row += 1
      ) {
        const base = (rowWord[row] as number) * stride;
        const amount = rowAmount[row] as number;
        for (let place = base + from; place < base + until; place += 1) {
          free[place] = (free[place] as number) - amount;
        }
      }
    },
  };
}

function freeArray(full: Int32Array, stride: number): Int32Array {
  const free = new Int32Array(full.length * stride);
  for (const [word, value] of full.entries()) free.fill(value, word * stride, (word + 1) * stride);
  return free;
}

type Packed = ReturnType<typeof packedCapacity>;

function wordRequests(network: ProjectNetwork, packed: Packed): WordRequests {
  const { requestFrom, requestResource, requestCount, activityIds } = network;
  const from = new Int32Array(activityIds.length + 1);
  const word: number[] = [];
  const amount: number[] = [];
  for (let activity = 0; activity < activityIds.length; activity += 1) {
    const first = word.length;
    for (
      let row = requestFrom[activity] as number;
      row < (requestFrom[activity + 1] as number);
      row += 1
    ) {
      const resource = requestResource[row] as number;
      const own = packed.wordOf[resource] as number;
      const part = (requestCount[row] as number) << (packed.shiftOf[resource] as number);
      const at = word.indexOf(own, first);
      if (at < 0) {
        word.push(own);
        amount.push(part);
      } else amount[at] = (amount[at] as number) + part;
    }
    from[activity + 1] = word.length;
  }
  return { from, word: Int32Array.from(word), amount: Int32Array.from(amount) };
}

/** What bookings and fixed starts leave; facts may take more than there is, which leaves nothing. */
function takenBefore(network: ProjectNetwork, packed: Packed): { days: number; free: Int32Array } {
  const spans = network.bookings.map((booking) => ({ ...booking }));
  for (let activity = 0; activity < network.activityIds.length; activity += 1) {
    const fromDay = network.fixedStartDay[activity] as number;
    if (fromDay < 0) continue;
    const untilDay = finishDayOf(network, activity, fromDay);
    const end = network.requestFrom[activity + 1] as number;
    for (let row = network.requestFrom[activity] as number; row < end; row += 1) {
      const resource = network.requestResource[row] as number;
      spans.push({ resource, count: network.requestCount[row] as number, fromDay, untilDay });
    }
  }
  const days = spans.reduce((most, { untilDay }) => Math.max(most, untilDay), 0);
  const free = freeArray(packed.full, days);
  for (const { resource, count, fromDay, untilDay } of spans) {
    const base = (packed.wordOf[resource] as number) * days;
    const shift = packed.shiftOf[resource] as number;
    const mask = packed.maskOf[resource] as number;
    for (let at = base + fromDay; at < base + untilDay; at += 1) {
      const left = ((free[at] as number) >> shift) & mask;
      free[at] = (free[at] as number) - (Math.min(left, count) << shift);
    }
  }
  return { days, free };
}

/**
 * Day after the last day of work of an activity that starts on a day.
 *
 * @source critical-path
 */
export function finishDayOf(network: ProjectNetwork, activity: number, startDay: number): number {
  const duration = network.durationDays[activity] as number;
  const calendar = network.calendarOf[activity] ?? null;
  if (calendar === null || duration === 0) return startDay + duration;
  return calendar.finishOf(calendar.firstFrom(startDay), duration);
}
