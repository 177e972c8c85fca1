import type { ListedSchedule } from './justification.ts';
import type { ProjectNetwork } from './project-network.ts';
import type { SeededRandom } from './seeded-random.ts';

/** Days from `fromDay` to before `untilDay`. */
export interface DayWindow {
  readonly fromDay: number;
  readonly untilDay: number;
}

/** Shares of a plan's length that a dense window may take. Ours, from trials. */
const WINDOW_RATIO = { least: 0.1, most: 0.5 } as const;

/**
 * Finds where a schedule uses its resources most.
 *
 * @source peak-crossover
 */
export function denseWindows(network: ProjectNetwork) {
  const { requestFrom, requestResource, requestCount, capacity } = network;
  const use = Float64Array.from(network.activityIds, (_, activity) => {
    let sum = 0;
    const end = requestFrom[activity + 1] as number;
    for (let row = requestFrom[activity] as number; row < end; row += 1) {
      sum += (requestCount[row] as number) / (capacity[requestResource[row] as number] as number);
    }
    return sum;
  });
  let daily = new Float64Array(256);

  /** The window of a random length with the densest use: Σ_k used_k / R_k over its days. */
  return (schedule: ListedSchedule, finishedDay: number, random: SeededRandom): DayWindow => {
    const { startDay, finishDay } = schedule;
    if (finishedDay + 1 > daily.length) daily = new Float64Array(2 * finishedDay + 1);
    daily.fill(0, 0, finishedDay + 1);
    for (let activity = 0; activity < use.length; activity += 1) {
      const start = startDay[activity] as number;
      const finish = finishDay[activity] as number;
      daily[start] = (daily[start] as number) + (use[activity] as number);
      daily[finish] = (daily[finish] as number) - (use[activity] as number);
    }
    for (let day = 1; day < finishedDay; day += 1) {
      daily[day] = (daily[day] as number) + (daily[day - 1] as number);
    }
    const share = WINDOW_RATIO.least + (WINDOW_RATIO.most - WINDOW_RATIO.least) * random();
    const length = Math.max(1, Math.round(share * finishedDay));
    let sum = 0;
    for (let day = 0; day < Math.min(length, finishedDay); day += 1) sum += daily[day] as number;
    let densest = sum;
    let fromDay = 0;
    let equals = 1;
    for (let day = length; day < finishedDay; day += 1) {
      sum += (daily[day] as number) - (daily[day - length] as number);
      if (sum > densest + 1e-9) {
        densest = sum;
        fromDay = day - length + 1;
        equals = 1;
      } else if (sum > densest - 1e-9) {
        equals += 1;
        if (random() * equals < 1) fromDay = day - length + 1;
      }
    }
    return { fromDay, untilDay: fromDay + length };
  };
}

/**
 * Any window of a plan.
 *
 * @source peak-crossover
 */
export function anyWindow(finishedDay: number, random: SeededRandom): DayWindow {
  const one = Math.floor(random() * (finishedDay + 1));
  const other = Math.floor(random() * (finishedDay + 1));
  return { fromDay: Math.min(one, other), untilDay: Math.max(one, other) };
}

/**
 * A list from two parents: what the father finishes in the window stands together in his order; what
 * he finishes before stands before it, and the rest after it, in the mother's order.
 *
 * @param mother, father lists in the order of their finish days
 * @source peak-crossover
 */
export function crossInWindow(
  mother: ListedSchedule,
  father: ListedSchedule,
  window: DayWindow,
  child: Int32Array,
): void {
  const { fromDay, untilDay } = window;
  const finish = father.finishDay;
  const count = child.length;
  let at = 0;
  for (let place = 0; place < count; place += 1) {
    const activity = mother.list[place] as number;
    if ((finish[activity] as number) < fromDay) child[at++] = activity;
  }
  for (let place = 0; place < count; place += 1) {
    const activity = father.list[place] as number;
    const day = finish[activity] as number;
    if (day >= fromDay && day < untilDay) child[at++] = activity;
  }
  for (let place = 0; place < count; place += 1) {
    const activity = mother.list[place] as number;
    if ((finish[activity] as number) >= untilDay) child[at++] = activity;
  }
}
