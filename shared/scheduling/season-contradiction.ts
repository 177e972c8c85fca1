import type { BuildSeason, SeasonBuild } from './build-season.ts';
import { SOMEONE, shortestWays } from './crew-calendars.ts';
import { tooMuchWork } from './crew-work-bound.ts';
import { type SeasonNodes, type StageNode, seasonNodes } from './season-nodes.ts';
import { type StageWindows, stageWindows } from './stage-windows.ts';
import { NEVER } from './work-days.ts';

/** Why a season has no plan, with the builds that suffice for it. */
export interface SeasonContradiction {
  readonly buildIds: readonly string[];
  readonly reason: string;
}

/** A day on which a stage is worked, or equipment held, in every plan. */
interface SureDay {
  readonly at: number;
  readonly day: number;
}

/**
 * Proof that a season has no plan, or null when none is found: a stage without a day left, stages that
 * one crew or its road or the equipment do not allow on days that they cannot avoid, or more work for
 * crews than they have days.
 *
 * @source critical-path windows of days
 * @source resource-bounds days that a stage cannot avoid: from its latest start to its earliest finish
 */
export function seasonContradiction(season: BuildSeason): SeasonContradiction | null {
  if (season.crews.length === 0) return null;
  const of = seasonNodes(season);
  const windows = stageWindows(of, NEVER);
  const buildOf = (at: number) => season.builds[(of.nodes[at] as StageNode).build] as SeasonBuild;
  const naming = (at: number) => `${(of.nodes[at] as StageNode).stage.code} of ${buildOf(at).id}`;
  if (windows.broken !== null) {
    return { buildIds: [buildOf(windows.broken).id], reason: brokenWindow(of, windows, naming) };
  }
  const late = lateStart(of, windows);
  if (late !== null) return late;
  const clash = crewClash(of, windows, naming) ?? equipmentClash(of, windows, naming);
  if (clash !== null) {
    return {
      buildIds: [...new Set(clash.nodes.map((at) => buildOf(at).id))],
      reason: clash.reason,
    };
  }
  const work = tooMuchWork(of, windows);
  if (work === null) return null;
  const { earliestStartDay, latestFinishDay } = windows;
  const from = Math.min(...work.map((at) => earliestStartDay[at] as number));
  const until = Math.max(...work.map((at) => latestFinishDay[at] as number));
  const crews = new Set(
    work.flatMap((at) => windows.crewsOf[(of.nodes[at] as StageNode).group] as readonly number[]),
  );
  const names = [...crews].map((crew) => season.crews[crew]?.id).join(', ');
  const days = work.reduce((sum, at) => sum + (of.nodes[at] as StageNode).workDays, 0);
  return {
    buildIds: [...new Set(work.map((at) => buildOf(at).id))],
    reason: `${work.length} stages with ${days} work days do not fit between day ${from} and day ${until} into the days and people of ${names}`,
  };
}

function brokenWindow(
  of: SeasonNodes,
  windows: StageWindows,
  naming: (at: number) => string,
): string {
  const at = windows.broken as number;
  const node = of.nodes[at] as StageNode;
  const crews = of.crewsOf[node.group] as readonly number[];
  if (crews.length === 0) return `no crew is left that may do ${naming(at)}`;
  const start = windows.earliestStartDay[at] as number;
  const least = windows.earliestFinishDay[at] as number;
  const [byStart, byFinish] = [
    windows.latestStartDay[at] as number,
    windows.latestFinishDay[at] as number,
  ];
  const from = crews.map((crew) => {
    const days = of.workDays(node, crew);
    return days.firstFrom(Math.max(start, days.startToFinishFrom(least, node.workDays)));
  });
  const first = Math.min(...from);
  const parts = [
    first < NEVER
      ? `${naming(at)} cannot start before day ${first}`
      : `${naming(at)} finds no day from day ${start} on on which a crew is there`,
  ];
  if (byStart < NEVER / 2) parts.push(`has to start by day ${byStart}`);
  if (byFinish < NEVER / 2) parts.push(`has to be finished by day ${byFinish}`);
  const days = node.workDays === 1 ? '1 work day' : `${node.workDays} work days`;
  return `${parts.join(', ')}, and takes ${days}`;
}

/** A build of which no stage can start on the day to which its start is pinned. */
function lateStart(of: SeasonNodes, windows: StageWindows): SeasonContradiction | null {
  for (const [build, { id, pins, facts }] of of.season.builds.entries()) {
    const pin = pins.find(({ stageCode, startDay }) => stageCode === null && startDay !== null);
    const day = pin?.startDay ?? null;
    if (day === null || facts.length > 0) continue;
    const isStarted = of.nodes.some((node, at) => {
      if (node.build !== build || (windows.earliestStartDay[at] as number) > day) return false;
      const crews = windows.crewsOf[node.group] as readonly number[];
      return crews.some((crew) => of.workDays(node, crew).firstFrom(day) === day);
    });
    if (!isStarted) return { buildIds: [id], reason: `no stage of ${id} can start on day ${day}` };
  }
  return null;
}

interface Clash {
  readonly nodes: readonly number[];
  readonly reason: string;
}

function crewClash(
  of: SeasonNodes,
  windows: StageWindows,
  naming: (at: number) => string,
): Clash | null {
  const ways = shortestWays(of.season.moveDays);
  const sure = new Map<number, SureDay[]>();
  for (const [at, node] of of.nodes.entries()) {
    const [crew, other] = windows.crewsOf[node.group] as readonly number[];
    if (crew === undefined || other !== undefined || crew === SOMEONE) continue;
    const days = of.workDays(node, crew);
    const own = sure.get(crew) ?? [];
    sure.set(crew, own);
    for (const day of sureDays(windows, at)) {
      if (days.firstFrom(day) === day) own.push({ at, day });
    }
  }
  for (const [crew, list] of sure) {
    const { id, people } = of.season.crews[crew] as { id: string; people: number };
    list.sort((a, b) => a.day - b.day);
    for (const [place, { at, day }] of list.entries()) {
      const node = of.nodes[at] as StageNode;
      const same = list.filter((one) => one.day === day).map((one) => one.at);
      const needed = same.reduce((sum, one) => sum + (of.nodes[one] as StageNode).stage.people, 0);
      const isBegunOnly = same.every((one) => (of.nodes[one] as StageNode).isBegun);
      if (needed > people && !isBegunOnly) {
        const all = same.map(naming).join(' and ');
        return {
          nodes: same,
          reason: `${all} need ${needed} people of crew ${id} on day ${day}, which has ${people}`,
        };
      }
      const next = list
        .slice(place + 1)
        .find((one) => (of.nodes[one.at] as StageNode).village !== node.village);
      if (next === undefined) continue;
      const road = ways[node.village]?.[(of.nodes[next.at] as StageNode).village] ?? 0;
      if (next.day - day - 1 >= road && next.day > day) continue;
      return {
        nodes: [at, next.at],
        reason: `crew ${id} is at ${naming(at)} on day ${day} and at ${naming(next.at)} on day ${next.day}, ${road === 1 ? '1 day' : `${road} days`} on the road apart`,
      };
    }
  }
  return null;
}

function equipmentClash(
  of: SeasonNodes,
  windows: StageWindows,
  naming: (at: number) => string,
): Clash | null {
  for (const { id, units } of of.season.equipment) {
    const byDay = new Map<number, { at: number; units: number }[]>();
    for (const [at, { stage }] of of.nodes.entries()) {
      const own = stage.equipment.find(({ equipmentId }) => equipmentId === id);
      if (own === undefined) continue;
      for (const day of sureDays(windows, at)) {
        byDay.set(day, [...(byDay.get(day) ?? []), { at, units: own.units }]);
      }
    }
    for (const [day, list] of byDay) {
      const needed = list.reduce((sum, one) => sum + one.units, 0);
      const isBegunOnly = list.every(({ at }) => (of.nodes[at] as StageNode).isBegun);
      if (needed <= units || isBegunOnly) continue;
      const all = list.map(({ at }) => naming(at)).join(' and ');
      return {
        nodes: list.map(({ at }) => at),
        reason: `${all} need ${needed} of ${id} on day ${day} and there are ${units}`,
      };
    }
  }
  return null;
}

/** Days from the latest start of a stage to its earliest finish: it cannot avoid them. */
function sureDays({ latestStartDay, earliestFinishDay }: StageWindows, at: number): number[] {
  const from = latestStartDay[at] as number;
  const until = earliestFinishDay[at] as number;
  return Array.from({ length: Math.max(0, until - from) }, (_, day) => from + day);
}
