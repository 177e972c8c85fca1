import type { BuildSeason, SeasonBuild, SeasonStage } from './build-season.ts';
import { requireBuildSeason } from './season-checks.ts';
import { type SeasonGroup, seasonGroups } from './season-groups.ts';
import { stageUnits } from './stage-units.ts';

/** Rows by activity: those of `a` stand from `from[a]` to before `from[a + 1]`. */
export interface ActivityRows {
  readonly from: Int32Array;
  readonly other: Int32Array;
  readonly minimumWaitDays: Int32Array;
  /** −1: none. */
  readonly maximumWaitDays: Int32Array;
}

export const STANDING = { planned: 0, begun: 1, done: 2 } as const;
export const NO_DAY = 0x3fffffff;

/**
 * A season in flat arrays. An activity is a stage of a build: activity `buildFirst[b] + s` is stage s
 * of the template of build b.
 */
export interface CompiledSeason {
  readonly season: BuildSeason;
  readonly activityCount: number;
  readonly buildFirst: Int32Array;
  readonly buildOf: Int32Array;
  readonly villageOf: Int32Array;
  readonly standing: Uint8Array;
  /** Work days of a practised crew; days left of what is begun; 0 when done. */
  readonly workDays: Int32Array;
  readonly people: Int32Array;
  readonly isBlockedByRain: Uint8Array;
  /** Earliest start from release, facts and pins of the build; done stages give their finish. */
  readonly floorDay: Int32Array;
  /** Latest start from greatest waits after done stages, or `NO_DAY`. */
  readonly latestStartDay: Int32Array;
  /** Start that a pin holds, or −1. */
  readonly pinnedDay: Int32Array;
  /** Only among stages that are planned or begun. */
  readonly predecessors: ActivityRows;
  readonly successors: ActivityRows;
  readonly equipmentFrom: Int32Array;
  readonly equipmentAt: Int32Array;
  readonly equipmentUnits: Int32Array;
  readonly groups: readonly SeasonGroup[];
  readonly groupOf: Int32Array;
  /** Crew that has begun the activity, or −1. */
  readonly begunBy: Int32Array;
  /** Stages placed together; those of a build stand together, in an order that keeps relations. */
  readonly unitFrom: Int32Array;
  readonly unitActivity: Int32Array;
  readonly unitBuild: Int32Array;
  /** Unit of an activity, or −1 when it is done, begun or left out. */
  readonly unitOf: Int32Array;
  readonly buildUnitFrom: Int32Array;
  /** Builds with a stage that no crew or no equipment can do are left out of the plan. */
  readonly isPlannable: Uint8Array;
  readonly dueDay: Int32Array;
  readonly homeVillage: Int32Array;
  /** First day on which a crew is gone, or `NO_DAY`. */
  readonly untilDay: Int32Array;
  /** Start in the earlier plan, or `NO_DAY`. */
  readonly earlierStart: Int32Array;
  /** Crew of the earlier plan, −1 for none or unknown. */
  readonly earlierCrew: Int32Array;
  readonly hasEarlier: boolean;
  readonly hasLearning: boolean;
  readonly hasMaximumWaits: boolean;
  /** Pins against each other or against the crews, and due starts that no plan keeps. */
  readonly brokenPinCount: number;
}

/**
 * Checks a season and writes it into flat arrays, in which a pass of generation takes milliseconds.
 *
 * @throws {EngineError} naming the field, such as `builds[3].facts[0].stageCode`
 * @source serial-generation
 */
export function compileSeason(season: BuildSeason): CompiledSeason {
  requireBuildSeason(season);
  const { villages, crews, equipment, templates, builds } = season;
  const templateAt = new Map(templates.map(({ id }, at) => [id, at]));
  const villageAt = new Map(villages.map(({ id }, at) => [id, at]));
  const crewAt = new Map(crews.map(({ id }, at) => [id, at]));
  const equipmentPlace = new Map(equipment.map(({ id }, at) => [id, at]));
  const codesOf = templates.map(({ stages }) => new Map(stages.map(({ code }, at) => [code, at])));
  const { groups, groupOf, brokenPins } = seasonGroups(season);
  const buildFirst = new Int32Array(builds.length + 1);
  const stagesOf = (build: SeasonBuild): readonly SeasonStage[] =>
    templates[templateAt.get(build.templateId) ?? -1]?.stages ?? [];
  for (const [at, build] of builds.entries()) {
    buildFirst[at + 1] = (buildFirst[at] as number) + stagesOf(build).length;
  }
  const count = buildFirst[builds.length] as number;
  const ints = (length: number, value: number) => new Int32Array(length).fill(value);
  const buildOf = ints(count, 0);
  const villageOf = ints(count, 0);
  const standing = new Uint8Array(count);
  const workDays = ints(count, 0);
  const people = ints(count, 0);
  const isBlockedByRain = new Uint8Array(count);
  const floorDay = ints(count, 0);
  const latestStartDay = ints(count, NO_DAY);
  const pinnedDay = ints(count, -1);
  const begunBy = ints(count, -1);
  const groupAt = ints(count, -1);
  const earlierStart = ints(count, NO_DAY);
  const earlierCrew = ints(count, -1);
  const isPlannable = new Uint8Array(builds.length).fill(1);
  const rows: [from: number, to: number, minimum: number, maximum: number][] = [];
  const equipmentFrom = ints(count + 1, 0);
  const equipmentAt: number[] = [];
  const equipmentUnits: number[] = [];
  const unitFrom: number[] = [0];
  const unitActivity: number[] = [];
  const unitBuild: number[] = [];
  const buildUnitFrom = ints(builds.length + 1, 0);
  const unitOf = ints(count, -1);
  const unitsByStanding = new Map<string, number[][]>();
  let brokenStarts = 0;

  for (const [at, build] of builds.entries()) {
    const first = buildFirst[at] as number;
    const stages = stagesOf(build);
    const codes = codesOf[templateAt.get(build.templateId) ?? -1] as Map<string, number>;
    const activity = (code: string): number => first + (codes.get(code) ?? 0);
    const release = Math.max(0, build.releaseDay);
    for (const [place, stage] of stages.entries()) {
      const own = first + place;
      buildOf[own] = at;
      villageOf[own] = villageAt.get(build.villageId) ?? 0;
      workDays[own] = stage.workDays;
      people[own] = stage.people;
      isBlockedByRain[own] = stage.isBlockedByRain ? 1 : 0;
      floorDay[own] = release;
      groupAt[own] = groupOf[at]?.[place] ?? -1;
    }
    for (const { stageCode, day } of build.stageReleases ?? []) {
      const own = activity(stageCode);
      floorDay[own] = Math.max(floorDay[own] as number, day);
    }
    for (const fact of build.facts) {
      const own = activity(fact.stageCode);
      standing[own] = STANDING[fact.kind];
      workDays[own] = fact.kind === 'begun' ? fact.remainingDays : 0;
      floorDay[own] = fact.kind === 'begun' ? 0 : fact.finishDay;
      if (fact.kind === 'begun' && fact.crewId !== null) {
        const crew = crewAt.get(fact.crewId) ?? -1;
        begunBy[own] = groups[groupAt[own] as number]?.crews.includes(crew) ? crew : -1;
      }
    }
    const followedFrom = new Map(
      build.facts.flatMap((fact) =>
        fact.kind === 'done' ? [[fact.stageCode, fact.followedFromDay ?? -NO_DAY] as const] : [],
      ),
    );
    for (const [place, stage] of stages.entries()) {
      const own = first + place;
      if (standing[own] !== STANDING.done) {
        for (const need of stage.equipment) {
          const lent = equipmentPlace.get(need.equipmentId) ?? 0;
          equipmentAt.push(lent);
          equipmentUnits.push(need.units);
          if ((equipment[lent]?.units ?? 0) < need.units) isPlannable[at] = 0;
        }
        if (groups[groupAt[own] as number]?.crews.length === 0) isPlannable[at] = 0;
      }
      equipmentFrom[own + 1] = equipmentAt.length;
      if (standing[own] !== STANDING.planned) continue;
      for (const { stageCode, minimumWaitDays, maximumWaitDays } of stage.after) {
        const before = activity(stageCode);
        if (standing[before] !== STANDING.done) {
          rows.push([before, own, minimumWaitDays, maximumWaitDays ?? -1]);
          continue;
        }
        const finish = floorDay[before] as number;
        const from = Math.max(finish + minimumWaitDays, followedFrom.get(stageCode) ?? -NO_DAY);
        floorDay[own] = Math.max(floorDay[own] as number, from);
        if (maximumWaitDays === null) continue;
        latestStartDay[own] = Math.min(latestStartDay[own] as number, finish + maximumWaitDays);
      }
    }
    const isPlanned = stages.map((_, place) => standing[first + place] === STANDING.planned);
    const key = `${build.templateId}\n${isPlanned.map(Number).join('')}`;
    const units = unitsByStanding.get(key) ?? stageUnits(stages, isPlanned);
    unitsByStanding.set(key, units);
    if (isPlannable[at] === 1) {
      for (const unit of units) {
        for (const place of unit) {
          unitOf[first + place] = unitBuild.length;
          unitActivity.push(first + place);
        }
        unitFrom.push(unitActivity.length);
        unitBuild.push(at);
      }
    }
    buildUnitFrom[at + 1] = unitBuild.length;
    for (const pin of build.pins) {
      if (pin.startDay === null) continue;
      const isWhole = pin.stageCode === null;
      if (isWhole && !isPlanned.every(Boolean)) continue;
      const own = pin.stageCode === null ? (units[0]?.[0] ?? 0) + first : activity(pin.stageCode);
      if (standing[own] !== STANDING.planned) continue;
      const was = pinnedDay[own] as number;
      if (was >= 0 && was !== pin.startDay) brokenStarts += 1;
      else pinnedDay[own] = pin.startDay;
      for (let each = first; isWhole && each < first + stages.length; each += 1) {
        floorDay[each] = Math.max(floorDay[each] as number, pin.startDay);
      }
    }
    for (const { stageCode, crewId, startDay } of build.earlier) {
      const own = activity(stageCode);
      if (standing[own] !== STANDING.planned) continue;
      earlierStart[own] = startDay;
      earlierCrew[own] = crewId === null ? -1 : (crewAt.get(crewId) ?? -1);
    }
  }
  return {
    season,
    activityCount: count,
    buildFirst,
    buildOf,
    villageOf,
    standing,
    workDays,
    people,
    isBlockedByRain,
    floorDay,
    latestStartDay,
    pinnedDay,
    predecessors: rowsBy(1, rows, count),
    successors: rowsBy(0, rows, count),
    equipmentFrom,
    equipmentAt: Int32Array.from(equipmentAt),
    equipmentUnits: Int32Array.from(equipmentUnits),
    groups,
    groupOf: groupAt,
    begunBy,
    unitFrom: Int32Array.from(unitFrom),
    unitActivity: Int32Array.from(unitActivity),
    unitBuild: Int32Array.from(unitBuild),
    unitOf,
    buildUnitFrom,
    isPlannable,
    dueDay: Int32Array.from(builds, ({ dueDay }) => dueDay ?? NO_DAY),
    homeVillage: Int32Array.from(crews, ({ homeVillageId }) =>
      homeVillageId === null ? -1 : (villageAt.get(homeVillageId) ?? -1),
    ),
    untilDay: Int32Array.from(crews, ({ untilDay }) => untilDay ?? NO_DAY),
    earlierStart,
    earlierCrew,
    hasEarlier: earlierStart.some((day) => day !== NO_DAY),
    hasLearning: crews.some(({ learning }) => learning !== null),
    hasMaximumWaits: rows.some(([, , , maximum]) => maximum >= 0),
    brokenPinCount: brokenPins.length + brokenStarts,
  };
}

function rowsBy(
  side: 0 | 1,
  rows: readonly (readonly [number, number, number, number])[],
  count: number,
): ActivityRows {
  const from = new Int32Array(count + 1);
  for (const row of rows) from[row[side] + 1] = (from[row[side] + 1] as number) + 1;
  for (let at = 0; at < count; at += 1)
    from[at + 1] = (from[at + 1] as number) + (from[at] as number);
  const next = from.slice();
  const other = new Int32Array(rows.length);
  const minimumWaitDays = new Int32Array(rows.length);
  const maximumWaitDays = new Int32Array(rows.length);
  for (const row of rows) {
    const own = row[side];
    const at = next[own] as number;
    next[own] = at + 1;
    other[at] = row[1 - side] as number;
    minimumWaitDays[at] = row[2];
    maximumWaitDays[at] = row[3];
  }
  return { from, other, minimumWaitDays, maximumWaitDays };
}
