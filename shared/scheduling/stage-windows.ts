import type { BuildRange, SeasonNodes, StageNode } from './season-nodes.ts';
import { NEVER, type WorkDays } from './work-days.ts';

/** Days between which each stage lies in every plan that is finished in time. */
export interface StageWindows {
  readonly earliestStartDay: Float64Array;
  readonly earliestFinishDay: Float64Array;
  readonly latestStartDay: Float64Array;
  readonly latestFinishDay: Float64Array;
  /** Crews left for each group. */
  readonly crewsOf: readonly (readonly number[])[];
  /** A stage without a day or a crew left; null while each has one. */
  readonly broken: number | null;
}

/** A day without limit, waits taken off it or not. */
const isOpen = (day: number): boolean => day > NEVER / 2;

/** Rounds after which windows are taken as they are: wider ones are valid too. Ours. */
const MOST_ROUNDS = 200;

/**
 * Narrows the days of every stage by waits, work days, releases, pins and the crews left to it,
 * forwards and backwards until nothing changes. People and villages of crews are left out.
 *
 * @param finishDay day by which all is to be finished, or `NEVER`
 * @source critical-path both passes, with greatest waits and calendars
 */
export function stageWindows(of: SeasonNodes, finishDay: number): StageWindows {
  const { nodes } = of;
  const earliestStartDay = Float64Array.from(nodes, ({ floorDay }) => floorDay);
  const earliestFinishDay = new Float64Array(nodes.length);
  const latestStartDay = Float64Array.from(nodes, (node) => node.latestStartDay);
  const latestFinishDay = new Float64Array(nodes.length).fill(finishDay);
  const crewsOf = of.crewsOf.map((crews) => crews.slice());
  let isChanged = true;
  const raise = (days: Float64Array, at: number, day: number) => {
    if (day <= (days[at] as number)) return;
    days[at] = day;
    isChanged = true;
  };
  const lower = (days: Float64Array, at: number, day: number) => {
    if (day >= (days[at] as number)) return;
    days[at] = day;
    isChanged = true;
  };
  const narrow = (at: number, node: StageNode): boolean => {
    let [start, finish, lastStart, lastFinish] = [NEVER, NEVER, -1, -1];
    const [from, until] = [earliestStartDay[at] as number, latestFinishDay[at] as number];
    let known: WorkDays | null = null;
    let isKnownLeft = false;
    const isLeft = (crew: number): boolean => {
      const days = of.workDays(node, crew);
      // Most crews have the same days.
      if (days !== known) isKnownLeft = hasDay(days);
      known = days;
      return isKnownLeft;
    };
    const hasDay = (days: WorkDays): boolean => {
      const back = days.startToFinishFrom(earliestFinishDay[at] as number, node.workDays);
      const first = days.firstFrom(Math.max(from, back));
      const done = days.finishFrom(first, node.workDays);
      const end = Math.min(until, days.endDay);
      const byFinish = isOpen(end) ? NEVER : days.latestStart(end, node.workDays);
      const byStart = latestStartDay[at] as number;
      const last = isOpen(byStart) ? byFinish : days.lastUntil(Math.min(byFinish, byStart));
      if (first >= NEVER || done > until || first > last) return false;
      start = Math.min(start, first);
      finish = Math.min(finish, done);
      lastStart = Math.max(lastStart, last);
      // How long it takes from its latest start is open while a crew learns.
      const isEnd = !isOpen(last) && !node.mayTakeLonger;
      const lastEnd = isEnd ? days.finishFrom(last, node.workDays) : days.endDay;
      lastFinish = Math.max(lastFinish, Math.min(lastEnd, until));
      return true;
    };
    const crews = crewsOf[node.group] as number[];
    const left = crews.filter(isLeft);
    if (left.length < crews.length) {
      crewsOf[node.group] = left;
      isChanged = true;
    }
    if (left.length === 0) return false;
    raise(earliestStartDay, at, start);
    raise(earliestFinishDay, at, finish);
    lower(latestStartDay, at, lastStart);
    lower(latestFinishDay, at, lastFinish);
    return true;
  };
  /** Narrows the stages of one build; the place of one without a day left, or null. */
  const settle = (from: number, until: number): number | null => {
    isChanged = true;
    for (let round = 0; isChanged && round < MOST_ROUNDS; round += 1) {
      isChanged = false;
      for (let at = from; at < until; at += 1) {
        const node = nodes[at] as StageNode;
        for (const { node: before, minimumWaitDays, maximumWaitDays } of node.after) {
          raise(earliestStartDay, at, (earliestFinishDay[before] as number) + minimumWaitDays);
          if (maximumWaitDays === null) continue;
          lower(latestStartDay, at, (latestFinishDay[before] as number) + maximumWaitDays);
        }
        if (!narrow(at, node)) return at;
      }
      for (let at = until - 1; at >= from; at -= 1) {
        const node = nodes[at] as StageNode;
        if (!narrow(at, node)) return at;
        for (const { node: before, minimumWaitDays, maximumWaitDays } of node.after) {
          lower(latestFinishDay, before, (latestStartDay[at] as number) - minimumWaitDays);
          if (maximumWaitDays === null) continue;
          raise(earliestFinishDay, before, (earliestStartDay[at] as number) - maximumWaitDays);
        }
      }
    }
    return null;
  };
  const windows = { earliestStartDay, earliestFinishDay, latestStartDay, latestFinishDay, crewsOf };
  const all = [earliestStartDay, earliestFinishDay, latestStartDay, latestFinishDay];
  for (const [build, { firstNode, endNode, firstGroup, endGroup, sameAs }] of of.ranges.entries()) {
    if (sameAs === build) {
      const broken = settle(firstNode, endNode);
      if (broken !== null) return { ...windows, broken };
      continue;
    }
    const same = of.ranges[sameAs] as BuildRange;
    for (const days of all) days.copyWithin(firstNode, same.firstNode, same.endNode);
    for (let group = firstGroup; group < endGroup; group += 1) {
      crewsOf[group] = crewsOf[same.firstGroup + group - firstGroup] as number[];
    }
  }
  return { ...windows, broken: null };
}
