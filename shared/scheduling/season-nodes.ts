import type {
  BuildSeason,
  SeasonBuild,
  SeasonCrew,
  SeasonStage,
  SeasonTemplate,
} from './build-season.ts';
import { crewCalendars, SOMEONE } from './crew-calendars.ts';
import { NEVER, type WorkDays } from './work-days.ts';

/** A stage that is still to be worked on. */
export interface StageNode {
  readonly build: number;
  readonly village: number;
  readonly stage: SeasonStage;
  readonly isBegun: boolean;
  /** At least so many: those of a practised crew, or those left. */
  readonly workDays: number;
  /** Some crew still learns, and takes longer. */
  readonly mayTakeLonger: boolean;
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

/** Where the nodes and groups of a build stand. */
export interface BuildRange {
  readonly firstNode: number;
  readonly endNode: number;
  readonly firstGroup: number;
  readonly endGroup: number;
  /** The first build with the same village, template, releases, facts and pins. */
  readonly sameAs: number;
}

export interface SeasonNodes {
  readonly season: BuildSeason;
  /** Earlier stages of a build come first. */
  readonly nodes: readonly StageNode[];
  /** By build. */
  readonly ranges: readonly BuildRange[];
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
  const ranges: BuildRange[] = [];
  const firstLike = new Map<string, number>();
  for (const [at, build] of season.builds.entries()) {
    const template = season.templates.find(({ id }) => id === build.templateId);
    const [firstNode, firstGroup] = [nodes.length, crewsOf.length];
    addBuild(season, at, build, inOrder(template), nodes, crewsOf, doneFinishDay);
    const like = JSON.stringify({ ...build, id: '', dueDay: null, earlier: [] });
    const sameAs = firstLike.get(like) ?? at;
    firstLike.set(like, sameAs);
    const [endNode, endGroup] = [nodes.length, crewsOf.length];
    ranges.push({ firstNode, endNode, firstGroup, endGroup, sameAs });
  }
  const daysOf = crewCalendars(season);
  const workDays: SeasonNodes['workDays'] = ({ village, stage }, crew) =>
    daysOf(village, stage.isBlockedByRain, crew);
  return { season, nodes, ranges, crewsOf, doneFinishDay, workDays };
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
  const isLearning = season.crews.some(
    ({ learning }) => learning !== null && learning.tanksBuilt + 1 < learning.practisedAfterTanks,
  );
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
    const shared =
      isBegun || goesOwnWay(build, stage) ? `stage ${stage.code}` : `trade ${stage.trade}`;
    const group = groupOf.get(shared) ?? crewsOf.length;
    groupOf.set(shared, group);
    const crews = crewsFor(season, build, open, stage);
    crewsOf[group] = (crewsOf[group] ?? crews).filter((crew) => crews.includes(crew));
    nodeOf.set(stage.code, nodes.length);
    const village = season.villages.findIndex(({ id }) => id === build.villageId);
    const workDays = fact?.kind === 'begun' ? fact.remainingDays : stage.workDays;
    const mayTakeLonger = !isBegun && isLearning;
    const own = {
      build: at,
      village,
      mayTakeLonger,
      stage,
      isBegun,
      workDays,
      floorDay,
      latestStartDay,
    };
    nodes.push({ ...own, group, after });
  }
  doneFinishDay.push(done);
}

/** A stage of no trade that a pin gives to a crew; others of no trade are done by one crew. */
export const goesOwnWay = (build: SeasonBuild, { trade, code }: SeasonStage): boolean =>
  trade === null && build.pins.some((pin) => pin.stageCode === code && pin.crewId !== null);

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
  const isOwnWay = goesOwnWay(build, stage);
  const own = stages.filter((one) =>
    isOwnWay ? one === stage : one.trade === stage.trade && !goesOwnWay(build, one),
  );
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
