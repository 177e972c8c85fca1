import { finishDayOf } from './capacity-profile.ts';
import type { WorkingDays } from './project-calendar.ts';
import type { ProjectNetwork } from './project-network.ts';
import { tailDays } from './tail-days.ts';

/** Days below which no feasible schedule is finished, each by another argument. */
export interface ScheduleBounds {
  /** Longest chain of work and waits, releases and calendars kept. */
  readonly criticalPathDays: number;
  /** All work of one resource at its full capacity. */
  readonly energyDays: number;
  /** The same for any group of its work, with the time before the group can start and after it ends. */
  readonly headWorkTailDays: number;
  /** The greatest of them. */
  readonly lowerBoundDays: number;
}

/**
 * Earliest start by activity when resources are without limit.
 *
 * @source critical-path
 */
export function headDays(network: ProjectNetwork): Int32Array {
  const { predecessors, order, releaseDay, fixedStartDay, calendarOf, durationDays } = network;
  const head = new Int32Array(order.length);
  const finish = new Int32Array(order.length);
  for (const activity of order) {
    let start = releaseDay[activity] as number;
    const end = predecessors.from[activity + 1] as number;
    for (let row = predecessors.from[activity] as number; row < end; row += 1) {
      const before = predecessors.other[row] as number;
      const free = (finish[before] as number) + (predecessors.minimumLagDays[row] as number);
      if (free > start) start = free;
    }
    const fixed = fixedStartDay[activity] as number;
    if (fixed >= 0) start = fixed;
    else if (durationDays[activity] !== 0) start = calendarOf[activity]?.firstFrom(start) ?? start;
    head[activity] = start;
    finish[activity] = finishDayOf(network, activity, start);
  }
  return head;
}

/**
 * Lower bounds on the day on which a project is finished: critical path, energy
 * max_k ⌈Σ p_j·r_jk / R_k⌉, and head, work and tail: over the activities of a resource with head ≥ h
 * and tail ≥ q,
 *
 *     h + ⌈Σ p_j·r_jk / R_k⌉ + q.
 *
 * Where all that work keeps one calendar, its days are counted on it. Days without work inside an
 * activity count for none, greatest waits and bookings are left out, and so is the work of fixed
 * starts: what was done counts as done.
 *
 * @source resource-bounds
 */
export function scheduleBounds(network: ProjectNetwork): ScheduleBounds {
  const { durationDays, requestFrom, requestResource, requestCount, capacity } = network;
  const head = headDays(network);
  const tail = tailDays(network);
  const asking: { activity: number; work: number }[][] = Array.from(capacity, () => []);
  let criticalPathDays = 0;
  for (let activity = 0; activity < head.length; activity += 1) {
    const start = head[activity] as number;
    const chain = finishDayOf(network, activity, start) + (tail[activity] as number);
    if (chain > criticalPathDays) criticalPathDays = chain;
    if ((network.fixedStartDay[activity] as number) >= 0) continue;
    const end = requestFrom[activity + 1] as number;
    for (let row = requestFrom[activity] as number; row < end; row += 1) {
      const work = (durationDays[activity] as number) * (requestCount[row] as number);
      asking[requestResource[row] as number]?.push({ activity, work });
    }
  }
  let energyDays = 0;
  let headWorkTailDays = 0;
  for (const [resource, list] of asking.entries()) {
    const units = capacity[resource] as number;
    const total = list.reduce((sum, { work }) => sum + work, 0);
    if (total === 0) continue;
    const calendar = sharedCalendar(network, list);
    const worked = (from: number, work: number): number => {
      const days = Math.ceil(work / units);
      return calendar === null ? from + days : calendar.finishOf(calendar.firstFrom(from), days);
    };
    energyDays = Math.max(energyDays, worked(0, total));
    const tails = [...new Set(list.map(({ activity }) => tail[activity] as number))].sort(
      (a, b) => b - a,
    );
    const place = new Map(tails.map((days, at) => [days, at]));
    const workByTail = new Float64Array(tails.length);
    list.sort((a, b) => (head[b.activity] as number) - (head[a.activity] as number));
    for (const [at, { activity, work }] of list.entries()) {
      const slot = place.get(tail[activity] as number) as number;
      workByTail[slot] = (workByTail[slot] as number) + work;
      const from = head[activity] as number;
      const next = list[at + 1];
      if (next !== undefined && head[next.activity] === from) continue;
      let group = 0;
      for (let slotAt = 0; slotAt < tails.length; slotAt += 1) {
        group += workByTail[slotAt] as number;
        if (group === 0) continue;
        const days = worked(from, group) + (tails[slotAt] as number);
        if (days > headWorkTailDays) headWorkTailDays = days;
      }
    }
  }
  const lowerBoundDays = Math.max(criticalPathDays, energyDays, headWorkTailDays);
  return { criticalPathDays, energyDays, headWorkTailDays, lowerBoundDays };
}

function sharedCalendar(
  { calendarOf }: ProjectNetwork,
  list: readonly { readonly activity: number }[],
): WorkingDays | null {
  const [first] = list;
  const calendar = first === undefined ? null : (calendarOf[first.activity] ?? null);
  const isShared = list.every(({ activity }) => (calendarOf[activity] ?? null) === calendar);
  return isShared ? calendar : null;
}
