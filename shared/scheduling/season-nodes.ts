import type {
  BuildSeason,
  SeasonBuild,
  SeasonCrew,
  SeasonStage,
  SeasonTemplate,
} from './build-season.ts';
import { NEVER, type WorkDays, workDaysWhere } from './work-days.ts';

/** A stage that is still to be worked on. */
export interface StageNode {
  readonly build: number;
  readonly village: number;
  readonly stage: SeasonStage;
  readonly isBegun: boolean;
  /** At least so many: those of a practised crew, or those left. */
  readonly workDays: number;
  readonly floorDay: number;
  readonly latestStartDay: number;
  /** Stages of a build and trade share one crew, and so a number here. */
  readonly group: number;
  readonly after: readonly NodeFollow[];
}

export interface NodeFollow {
  /** Place of the earlier node. */
  readonly node: number;
  readonly minimumWaitDays: number;
  readonly maximumWaitDays: number | null;
}

/** Whoever has begun a stage, when nobody says who; always at hand. */
export const SOMEONE = -1;

export interface SeasonNodes {
  readonly season: BuildSeason;
  /** Earlier stages of a build come first. */
  readonly nodes: readonly StageNode[];
  /** Crews that may do all stages of a group, by their places in the season. */
  readonly crewsOf: readonly (readonly number[])[];
  /** Finish of builds of which all is done, and last finish of done stages of the others. */
  readonly doneFinishDay: readonly number[];
  /** Days a crew can work on a stage; crews and stages with the same days share them. */
  workDays(node: StageNode, crew: number): WorkDays;
}

/**
 * The stages of a season that are still to be worked on, with what holds each of them alone.
 *
 * @source critical-path
 */
export function seasonNodes(season: BuildSeason): SeasonNodes {
  const nodes: StageNode[] = [];
  const crewsOf: number[][] = [];
  const doneFinishDay: number[] = [];
  for (const [at, build] of season.builds.entries()) {
    const template = season.templates.find(({ id }) => id === build.templateId);
    addBuild(season, at, build, inOrder(template), nodes, crewsOf, doneFinishDay);
  }
  return { season, nodes, crewsOf, doneFinishDay, workDays: crewCalendars(season) };
}

function inOrder(template: SeasonTemplate | undefined): SeasonStage[] {
  const sorted: SeasonStage[] = [];
  const passed = new Set<string>();
  for (let left = template?.stages.slice() ?? []; left.length > 0; ) {
    const ready = left.filter(({ after }) => after.every(({ stageCode }) => passed.has(stageCode)));
    if (ready.length === 0) return sorted;
    for (const { code } of ready) passed.add(code);
    sorted.push(...ready);
    left = left.filter(({ code }) => !passed.has(code));
  }
  return sorted;
}

function addBuild(
  season: BuildSeason,
  at: number,
  build: SeasonBuild,
  stages: readonly SeasonStage[],
  nodes: StageNode[],
  crewsOf: number[][],
  doneFinishDay: number[],
): void {
  const factOf = new Map(build.facts.map((fact) => [fact.stageCode, fact]));
  const nodeOf = new Map<string, number>();
  const groupOf = new Map<string, number>();
  const isDone = ({ code }: SeasonStage) => factOf.get(code)?.kind === 'done';
  const open = stages.filter((stage) => !isDone(stage));
  let done = 0;
  for (const stage of stages) {
    const fact = factOf.get(stage.code);
    if (fact?.kind === 'done') {
      done = Math.max(done, fact.finishDay);
      continue;
    }
    const isBegun = fact?.kind === 'begun';
    let floorDay = isBegun ? 0 : Math.max(0, build.releaseDay);
    let latestStartDay = NEVER;
    const after: NodeFollow[] = [];
    if (!isBegun) {
      for (const { stageCode, day } of build.stageReleases ?? []) {
        if (stageCode === stage.code) floorDay = Math.max(floorDay, day);
      }
      for (const { stageCode, minimumWaitDays, maximumWaitDays } of stage.after) {
        const before = factOf.get(stageCode);
        const node = nodeOf.get(stageCode);
        if (node !== undefined) after.push({ node, minimumWaitDays, maximumWaitDays });
        if (before?.kind !== 'done') continue;
        const from = Math.max(before.finishDay + minimumWaitDays, before.followedFromDay ?? 0);
        floorDay = Math.max(floorDay, from);
        if (maximumWaitDays === null) continue;
        latestStartDay = Math.min(latestStartDay, before.finishDay + maximumWaitDays);
      }
      for (const pin of build.pins) {
        if (pin.startDay === null) continue;
        if (pin.stageCode === stage.code) {
          floorDay = Math.max(floorDay, pin.startDay);
          latestStartDay = Math.min(latestStartDay, pin.startDay);
        } else if (pin.stageCode === null && build.facts.length === 0) {
          floorDay = Math.max(floorDay, pin.startDay);
          const isFirst = stages.every((one) => one === stage || one.after.length > 0);
          if (isFirst) latestStartDay = Math.min(latestStartDay, pin.startDay);
        }
      }
    }
    // A begun stage may be by another crew than what follows.
    const shared = isBegun || stage.trade === null ? `stage ${stage.code}` : `trade ${stage.trade}`;
    const group = groupOf.get(shared) ?? crewsOf.length;
    groupOf.set(shared, group);
    const crews = crewsFor(season, build, open, stage);
    crewsOf[group] = (crewsOf[group] ?? crews).filter((crew) => crews.includes(crew));
    nodeOf.set(stage.code, nodes.length);
    const village = season.villages.findIndex(({ id }) => id === build.villageId);
    const workDays = fact?.kind === 'begun' ? fact.remainingDays : stage.workDays;
    const own = { build: at, village, stage, isBegun, workDays, floorDay, latestStartDay };
    nodes.push({ ...own, group, after });
  }
  doneFinishDay.push(done);
}

/** Whether a crew works in the trade of a stage. */
export const isSkilled = ({ trades }: SeasonCrew, { trade }: SeasonStage): boolean =>
  trade === null || trades.length === 0 || trades.includes(trade);

function crewsFor(
  { crews }: BuildSeason,
  build: SeasonBuild,
  stages: readonly SeasonStage[],
  stage: SeasonStage,
): number[] {
  const fact = build.facts.find(({ stageCode }) => stageCode === stage.code);
  // What was begun goes on, by whom it was begun.
  if (fact !== undefined) {
    const by = crews.findIndex(({ id }) => id === fact.crewId);
    return [by < 0 ? SOMEONE : by];
  }
  const own = stages.filter(({ trade }) => trade === stage.trade);
  const pins = build.pins.filter(({ crewId }) => crewId !== null);
  const ofStages = pins.filter((pin) => own.some(({ code }) => code === pin.stageCode));
  // A pin of a stage goes before one of the build, which holds a crew that can do all of its trade.
  const holding =
    ofStages.length > 0
      ? ofStages.filter(({ stageCode }) => stageCode === stage.code)
      : pins.filter(({ crewId, stageCode }) => {
          const crew = crews.find(({ id }) => id === crewId);
          return stageCode === null && crew !== undefined && canDoAll(crew, own);
        });
  return crews.flatMap((crew, at) => {
    const isHeld = holding.every(({ crewId }) => crewId === crew.id);
    return isHeld && canDoAll(crew, [stage]) ? [at] : [];
  });
}

const canDoAll = (crew: SeasonCrew, stages: readonly SeasonStage[]): boolean =>
  stages.every((stage) => isSkilled(crew, stage) && crew.people >= stage.people);

function crewCalendars(season: BuildSeason): SeasonNodes['workDays'] {
  const ways = shortestWays(season.moveDays);
  const villageAt = new Map(season.villages.map(({ id }, at) => [id, at]));
  const kept = new Map<string, WorkDays>();
  const isIn = (day: number) => (one: { fromDay: number; untilDay: number }) =>
    one.fromDay <= day && day < one.untilDay;
  // What a crew has begun says where it is; home does not.
  const begunBy = season.builds.flatMap(({ facts }) =>
    facts.flatMap((fact) => (fact.kind === 'begun' ? [fact.crewId] : [])),
  );
  const anyone: SeasonCrew = {
    id: '',
    people: NEVER,
    trades: [],
    homeVillageId: null,
    fromDay: 0,
    untilDay: null,
    absences: [],
    learning: null,
  };
  return ({ village, stage }, at) => {
    const crew = at === SOMEONE ? anyone : (season.crews[at] as SeasonCrew);
    const isHome = !begunBy.includes(crew.id) && !begunBy.includes(null);
    const home = isHome ? villageAt.get(crew.homeVillageId ?? '') : undefined;
    const wayDays = home === undefined ? 0 : (ways[home]?.[village] ?? 0);
    const from = Math.max(crew.fromDay, wayDays, 0);
    const absences = crew.absences.map(({ fromDay, untilDay }) => `${fromDay}-${untilDay}`);
    const key = [village, stage.isBlockedByRain, from, crew.untilDay, ...absences].join(' ');
    const had = kept.get(key);
    if (had !== undefined) return had;
    const calendar = season.villages[village]?.isWorkingDay ?? [];
    const week = calendar.slice(-7);
    const made = workDaysWhere((day) => {
      if (day < from) return false;
      const past = day - calendar.length;
      if ((past < 0 ? calendar[day] : week[past % week.length]) !== true) return false;
      if (stage.isBlockedByRain && season.rains.some(isIn(day))) return false;
      return !crew.absences.some(isIn(day));
    }, crew.untilDay ?? NEVER);
    kept.set(key, made);
    return made;
  };
}

/** Fewest days on the road between villages, through others where that is less. */
export function shortestWays(moveDays: readonly (readonly number[])[]): number[][] {
  const ways = moveDays.map((row) => row.slice());
  for (const via of ways.keys()) {
    for (const row of ways) {
      for (const [to, days] of (ways[via] as number[]).entries()) {
        row[to] = Math.min(row[to] as number, (row[via] as number) + days);
      }
    }
  }
  return ways;
}
