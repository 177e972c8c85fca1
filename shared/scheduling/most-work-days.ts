import type { SeasonCrew } from './build-season.ts';

/**
 * Most days that a crew can work from a day on, one village a day and days on the road between two:
 * over the days d and villages v,
 *
 *     most(d, v) = 1 + max( most(d′, v), most(d′, u) with d − d′ − 1 ≥ road(u, v) ),  d′ < d,
 *
 * on days on which the village works and the crew is there.
 *
 * @param worked by village: whether it works on a day, the crew at hand
 * @param ways fewest days on the road, through other villages where that is less
 * @returns by day from `fromDay`: the most days worked before it
 * @source resource-bounds
 */
export function mostWorkDays(
  worked: readonly ((day: number) => boolean)[],
  ways: readonly (readonly number[])[],
  fromDay: number,
  untilDay: number,
): Int32Array {
  const length = Math.max(0, untilDay - fromDay);
  const count = worked.length;
  // Most days worked with the last of them in the village on that day or sooner.
  const most = new Int32Array((length + 1) * count);
  const before = new Int32Array(length + 1);
  for (let at = 1; at <= length; at += 1) {
    const day = fromDay + at - 1;
    let best = before[at - 1] as number;
    for (let to = 0; to < count; to += 1) {
      let own = most[(at - 1) * count + to] as number;
      if (worked[to]?.(day) === true) {
        let found = own;
        for (let from = 0; from < count; from += 1) {
          const left = at - 1 - (ways[from]?.[to] ?? 0);
          if (left <= 0) continue;
          found = Math.max(found, most[left * count + from] as number);
        }
        own = found + 1;
      }
      most[at * count + to] = own;
      if (own > best) best = own;
    }
    before[at] = best;
  }
  return before;
}

/** Whether a crew is at hand on a day: come, not gone, not away. */
export function isAtHand({ fromDay, untilDay, absences }: SeasonCrew, day: number): boolean {
  if (day < fromDay || (untilDay !== null && day >= untilDay)) return false;
  return !absences.some((away) => away.fromDay <= day && day < away.untilDay);
}
