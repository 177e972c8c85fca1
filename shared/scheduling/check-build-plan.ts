import type { BuildPlan, BuildPlanFigures } from './build-plan.ts';
import type { BuildSeason, SeasonBuild, SeasonCrew, SeasonStage } from './build-season.ts';
import { checkCrewDays } from './check-crew-days.ts';
import { checkPins } from './check-pins.ts';
import {
  type BuildPlanFault,
  type CheckedStage,
  canDo,
  type ReportFault,
} from './checked-stage.ts';
import { planFigures } from './plan-figures.ts';

export interface BuildPlanCheck {
  readonly faults: readonly BuildPlanFault[];
  /** Counted again from the stages alone. */
  readonly figures: BuildPlanFigures;
}

/** Days after which a stage that never gets its work days is given up. */
const MOST_DAYS = 20_000;

/**
 * Holds a plan against every rule of its season, day by day and in plain words, written apart from
 * the way plans are made: each stage once, work days, rains, releases, waits, crews and their trades,
 * absences, people and villages a day, days on the road, equipment, facts, pins, learning, and the
 * figures counted again. What was begun may alone take more people or equipment than there are.
 *
 * @returns all faults, none when the plan can be worked; the figures as counted here
 * @source season-rules the rules, not the method
 */
export function checkBuildPlan(season: BuildSeason, plan: BuildPlan): BuildPlanCheck {
  const faults: BuildPlanFault[] = [];
  const report: ReportFault = (rule, detail, of) =>
    faults.push({ rule, buildId: null, stageCode: null, crewId: null, day: null, ...of, detail });
  const checked: CheckedStage[] = [];
  const known = new Set<string>();
  for (const build of season.builds) {
    const template = season.templates.find(({ id }) => id === build.templateId);
    const stages: CheckedStage[] = [];
    for (const stage of template?.stages ?? []) {
      const at = { buildId: build.id, stageCode: stage.code };
      known.add(`${build.id}/${stage.code}`);
      const rows = plan.stages.filter(
        (one) => one.buildId === build.id && one.stageCode === stage.code,
      );
      if (rows.length !== 1) report('planned-once', `is planned ${rows.length} times`, at);
      const [planned] = rows;
      if (planned === undefined) continue;
      stages.push({ build, stage, planned, crew: null, workedDays: [] });
    }
    checked.push(...stages);
  }
  for (const { buildId, stageCode } of plan.stages) {
    if (known.has(`${buildId}/${stageCode}`)) continue;
    report('planned-once', 'is no stage of the season', { buildId, stageCode });
  }
  const tankNumber = numberedTanks(season, checked);
  const worked = checked.map((one) => checkStage(season, one, tankNumber, report));
  for (const build of season.builds) {
    const own = worked.filter((one) => one.build === build);
    checkWaits(build, own, report);
    checkPins(season, build, own, report);
  }
  checkCrewDays(season, worked, plan.moves, report);
  const figures = planFigures(season, worked, plan.moves);
  const claimed = JSON.stringify(sorted(plan.figures));
  const counted = JSON.stringify(sorted(figures));
  if (claimed !== counted) {
    report('figures', `are said to be ${claimed} and are ${counted}`, {});
  }
  return { faults, figures };
}

/** The same figures with their names in one order. */
const sorted = (figures: BuildPlanFigures) =>
  Object.fromEntries(Object.entries(figures).sort(([a], [b]) => (a < b ? -1 : 1)));

/**
 * The how-many-th tank of its crew a build is, by crew and build: those of which it has begun a stage
 * first, then by the first start that is planned for the crew, on the same day in the order of the
 * builds.
 */
function numberedTanks(
  season: BuildSeason,
  checked: readonly CheckedStage[],
): ReadonlyMap<string, number> {
  const numbers = new Map<string, number>();
  for (const crew of season.crews) {
    const first = new Map<string, number>();
    for (const { build, planned } of checked) {
      if (planned.crewId !== crew.id || planned.standing === 'done') continue;
      const start = planned.standing === 'begun' ? -1 : (planned.startDay ?? 0);
      first.set(build.id, Math.min(start, first.get(build.id) ?? start));
    }
    const order = season.builds
      .filter(({ id }) => first.has(id))
      .sort((a, b) => (first.get(a.id) ?? 0) - (first.get(b.id) ?? 0));
    for (const [at, { id }] of order.entries()) {
      numbers.set(`${crew.id}/${id}`, (crew.learning?.tanksBuilt ?? 0) + at + 1);
    }
  }
  return numbers;
}

/** Work days of a stage by the crew's n-th tank: longer while it is not practised, never shorter. */
function workDaysOf(stage: SeasonStage, crew: SeasonCrew | null, tankNumber: number): number {
  const learning = crew?.learning ?? null;
  if (learning === null || stage.workDays === 0) return stage.workDays;
  const factor = (tankNumber / learning.practisedAfterTanks) ** Math.log2(learning.ratio);
  // A hair less than the ceiling of a product that is whole but for rounding.
  return factor <= 1 ? stage.workDays : Math.ceil(stage.workDays * factor - 1e-9);
}

function checkStage(
  season: BuildSeason,
  one: CheckedStage,
  tankNumber: ReadonlyMap<string, number>,
  report: ReportFault,
): CheckedStage {
  const { build, stage, planned } = one;
  const at = { buildId: build.id, stageCode: stage.code, crewId: planned.crewId };
  const fact = build.facts.find(({ stageCode }) => stageCode === stage.code);
  const standing = fact?.kind ?? 'planned';
  if (planned.standing !== standing) report('fact', `is ${standing}, not ${planned.standing}`, at);
  if (fact !== undefined && fact.crewId !== null && planned.crewId !== fact.crewId) {
    report('fact', `is by crew ${fact.crewId}`, at);
  }
  if (fact?.kind === 'done') {
    if (planned.startDay !== null) report('fact', 'was done before and has no start', at);
    if (planned.finishDay !== fact.finishDay) {
      report('fact', `was finished on day ${fact.finishDay}`, { ...at, day: planned.finishDay });
    }
    return one;
  }
  const crew = season.crews.find(({ id }) => id === planned.crewId) ?? null;
  if (crew === null && (planned.crewId !== null || (stage.people > 0 && fact === undefined))) {
    report('crew', 'has no crew of the season', at);
  }
  if (crew !== null && fact === undefined && !canDo(crew, stage)) {
    report('trade', `crew ${crew.id} does not work as ${stage.trade}`, at);
  }
  const start = planned.startDay;
  if (start === null || !Number.isInteger(start) || start < 0) {
    report('planned-once', `starts on no day of the plan: ${start}`, at);
    return { ...one, crew };
  }
  const ownRelease = build.stageReleases?.find(({ stageCode }) => stageCode === stage.code);
  const release = Math.max(build.releaseDay, ownRelease?.day ?? build.releaseDay);
  if (fact === undefined && start < release) {
    report('release', `starts before day ${release}`, { ...at, day: start });
  }
  const days =
    fact?.kind === 'begun'
      ? fact.remainingDays
      : workDaysOf(stage, crew, tankNumber.get(`${crew?.id}/${build.id}`) ?? 1);
  const whyNot = obstacle(season, one, crew, start);
  if (days > 0 && fact === undefined && whyNot !== null) {
    report(whyNot, 'starts on a day without its work', { ...at, day: start });
  }
  const workedDays: number[] = [];
  let finish = start;
  for (; workedDays.length < days && finish < start + MOST_DAYS; finish += 1) {
    if (obstacle(season, one, crew, finish) === null) workedDays.push(finish);
  }
  if (workedDays.length < days) {
    const last = obstacle(season, one, crew, finish) ?? 'work-day';
    report(last, `gets ${workedDays.length} of its ${days} work days`, { ...at, day: start });
  } else if (planned.finishDay !== finish) {
    const detail = `takes ${days} work days and is finished on day ${finish}, not ${planned.finishDay}`;
    report('duration', detail, { ...at, day: start });
  }
  return { ...one, crew, workedDays };
}

/** Why a stage is not worked on that day; null when it can be. */
function obstacle(
  season: BuildSeason,
  { build, stage }: CheckedStage,
  crew: SeasonCrew | null,
  day: number,
): 'work-day' | 'rains' | 'crew-away' | null {
  const calendar = season.villages.find(({ id }) => id === build.villageId)?.isWorkingDay ?? [];
  const week = calendar.slice(-7);
  const works = day < calendar.length ? calendar[day] : week[(day - calendar.length) % week.length];
  if (works !== true) return 'work-day';
  const isIn = ({ fromDay, untilDay }: { fromDay: number; untilDay: number }) =>
    fromDay <= day && day < untilDay;
  if (stage.isBlockedByRain && season.rains.some(isIn)) return 'rains';
  if (crew === null) return null;
  const isGone = day < crew.fromDay || (crew.untilDay !== null && day >= crew.untilDay);
  return isGone || crew.absences.some(isIn) ? 'crew-away' : null;
}

function checkWaits(build: SeasonBuild, stages: readonly CheckedStage[], report: ReportFault) {
  const byCode = new Map(stages.map((one) => [one.stage.code, one]));
  const crewByTrade = new Map<string | null, string>();
  for (const { stage, planned } of stages) {
    const at = { buildId: build.id, stageCode: stage.code, crewId: planned.crewId };
    if (planned.standing === 'done') continue;
    const start = planned.startDay ?? 0;
    if (planned.standing === 'planned') {
      for (const { stageCode, minimumWaitDays, maximumWaitDays } of stage.after) {
        const before = byCode.get(stageCode);
        if (before === undefined) continue;
        const finish = before.planned.finishDay;
        const fact = build.facts.find((one) => one.stageCode === stageCode);
        const held = fact?.kind === 'done' ? (fact.followedFromDay ?? start) : start;
        const from = Math.max(finish + minimumWaitDays, held);
        if (start < from) {
          report('minimum-wait', `follows ${stageCode} from day ${from}`, { ...at, day: start });
        }
        const until = finish + (maximumWaitDays ?? Number.POSITIVE_INFINITY);
        if (start > until) {
          report('maximum-wait', `follows ${stageCode} by day ${until}`, { ...at, day: start });
        }
      }
    }
    if (planned.crewId === null || planned.standing !== 'planned') continue;
    // Stages that name no trade belong together too, but for those that a pin gives to a crew.
    const isOwnWay = build.pins.some((pin) => pin.stageCode === stage.code && pin.crewId !== null);
    if (stage.trade === null && isOwnWay) continue;
    const other = crewByTrade.get(stage.trade) ?? planned.crewId;
    if (other !== planned.crewId) {
      report('one-crew', `the stages of its trade are done by crew ${other}`, at);
    }
    crewByTrade.set(stage.trade, other);
  }
}
