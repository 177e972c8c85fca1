import { type CompiledSeason, NO_DAY } from './compiled-season.ts';

/** How builds are given to crews at the start. */
export interface AssignmentRule {
  /**
   * way: each team takes whole villages near each other until it has its share; turns: village after
   * village to the team with least to do; one: build after build to it.
   */
  readonly deals: 'way' | 'turns' | 'one';
  readonly by: 'place' | 'due' | 'release';
  /** Place from which the villages are counted. */
  readonly firstVillage: number;
  readonly keepsEarlierCrews: boolean;
}

const CALENDAR_DAYS_A_WORK_DAY = 7 / 6;
/** Share of a build by which a team may be over its share before a village is split. Ours. */
const OVER_BUILDS = 0.6;
/** Share of the aim by which a crew may have more work before another takes over. Ours. */
const SAME_VILLAGE_BONUS = 0.1;

/** Person-days of each group still ahead. */
export function groupLoads(compiled: CompiledSeason): Float64Array {
  const loads = new Float64Array(compiled.groups.length);
  for (const [activity, group] of compiled.groupOf.entries()) {
    if (group < 0) continue;
    const work = (compiled.people[activity] as number) * (compiled.workDays[activity] as number);
    loads[group] = (loads[group] as number) + work;
  }
  return loads;
}

/** People of each crew times the share of the days until `days` on which it is there. */
export function crewRooms({ season, untilDay }: CompiledSeason, days: number): Float64Array {
  return Float64Array.from(season.crews, ({ people, fromDay, absences }, crew) => {
    const from = Math.max(0, fromDay);
    const until = Math.min(days, untilDay[crew] as number);
    let there = until - from;
    for (const away of absences) {
      there -= Math.max(0, Math.min(until, away.untilDay) - Math.max(from, away.fromDay));
    }
    return Math.max(1e-6, (people * there) / days);
  });
}

/** Groups of every build. */
export function groupsByBuild({ groups, season }: CompiledSeason): number[][] {
  const own: number[][] = season.builds.map(() => []);
  for (const [at, { build }] of groups.entries()) own[build]?.push(at);
  return own;
}

/**
 * Builds that can be planned, village by village, those due and released first before others.
 *
 * @source serial-generation
 */
export function buildOrder(
  compiled: CompiledSeason,
  { by, firstVillage }: Pick<AssignmentRule, 'by' | 'firstVillage'>,
): number[] {
  const { season, buildFirst, villageOf, dueDay, floorDay, isPlannable } = compiled;
  const village = (build: number) => villageOf[buildFirst[build] as number] as number;
  const release = (build: number) => floorDay[buildFirst[build] as number] as number;
  const due = (build: number) => dueDay[build] as number;
  const count = season.villages.length;
  const sums = new Float64Array(count);
  const builds = new Float64Array(count);
  for (const build of season.builds.keys()) {
    const at = village(build);
    const day = by === 'due' ? Math.min(due(build), NO_DAY) : by === 'release' ? release(build) : 0;
    sums[at] = (sums[at] as number) + day;
    builds[at] = (builds[at] as number) + 1;
  }
  const rank = Float64Array.from(sums, (sum, at) => sum / Math.max(1, builds[at] as number));
  const turn = (at: number) => (at - firstVillage + count) % count;
  return [...season.builds.keys()]
    .filter((build) => isPlannable[build] === 1)
    .sort(
      (a, b) =>
        (rank[village(a)] as number) - (rank[village(b)] as number) ||
        turn(village(a)) - turn(village(b)) ||
        due(a) - due(b) ||
        release(a) - release(b) ||
        a - b,
    );
}

/**
 * Gives the builds to teams and crews, so that each has its share of the work and few villages.
 *
 * @param teams crews of each team
 * @param crewOf by group; written
 * @returns builds of each team, in order
 * @source serial-generation
 */
export function assignedBuilds(
  compiled: CompiledSeason,
  teams: readonly (readonly number[])[],
  rule: AssignmentRule,
  crewOf: Int32Array,
): number[][] {
  const { groups, buildFirst, villageOf, season } = compiled;
  const loads = groupLoads(compiled);
  const groupsOf = groupsByBuild(compiled);
  const total = loads.reduce((sum, load) => sum + load, 0);
  const people = season.crews.reduce((sum, crew) => sum + crew.people, 0);
  const room = crewRooms(compiled, Math.max(60, (CALENDAR_DAYS_A_WORK_DAY * total) / people));
  const teamOf = new Int32Array(room.length);
  for (const [team, crews] of teams.entries()) for (const crew of crews) teamOf[crew] = team;
  const teamRoom = teams.map((crews) =>
    crews.reduce((sum, crew) => sum + (room[crew] as number), 0),
  );
  const aim = total / teamRoom.reduce((sum, one) => sum + one, 0);
  const left = teamRoom.map((one) => one * aim);
  const crewLoad = new Float64Array(room.length);
  const built: number[][] = teams.map(() => []);
  const village = (build: number) => villageOf[buildFirst[build] as number] as number;
  const loadOf = (build: number) =>
    (groupsOf[build] ?? []).reduce((sum, group) => sum + (loads[group] as number), 0);
  const canDo = (team: number, build: number): boolean =>
    (groupsOf[build] ?? []).every((group) => {
      const { heldCrew, crews } = groups[group] as CompiledSeason['groups'][number];
      if (heldCrew >= 0) return teamOf[heldCrew] === team;
      return crews.some((crew) => teamOf[crew] === team);
    });
  const lastCrew = new Map<string, number>();
  const give = (build: number, team: number): void => {
    built[team]?.push(build);
    left[team] = (left[team] as number) - loadOf(build);
    for (const group of groupsOf[build] ?? []) {
      const { heldCrew, crews, trade } = groups[group] as CompiledSeason['groups'][number];
      const key = `${team} ${trade} ${village(build)}`;
      const earlier = rule.keepsEarlierCrews ? earlierCrewOf(compiled, group, build) : -1;
      let by = heldCrew;
      if (by < 0 && crews.includes(earlier) && teamOf[earlier] === team) by = earlier;
      if (by < 0) {
        const worth = (crew: number) =>
          (crewLoad[crew] as number) / (room[crew] as number) -
          (lastCrew.get(key) === crew ? SAME_VILLAGE_BONUS * aim : 0);
        for (const crew of crews) {
          if (teamOf[crew] === team && (by < 0 || worth(crew) < worth(by))) by = crew;
        }
      }
      if (by < 0) by = crews[0] ?? 0;
      lastCrew.set(key, by);
      crewOf[group] = by;
      crewLoad[by] = (crewLoad[by] as number) + (loads[group] as number);
    }
  };
  const order = buildOrder(compiled, rule);
  const open: number[] = [];
  for (const build of order) {
    const fixed = (groupsOf[build] ?? [])
      .map((group) => {
        const held = groups[group]?.heldCrew ?? -1;
        return held >= 0 || !rule.keepsEarlierCrews ? held : earlierCrewOf(compiled, group, build);
      })
      .find((crew) => crew >= 0 && canDo(teamOf[crew] as number, build));
    if (fixed === undefined) open.push(build);
    else give(build, teamOf[fixed] as number);
  }
  const idlest = (build: number): number => {
    let best = -1;
    for (const team of teams.keys()) {
      const isIdler =
        best < 0 ||
        (left[team] as number) / (teamRoom[team] as number) >
          (left[best] as number) / (teamRoom[best] as number);
      if (canDo(team, build) && isIdler) best = team;
    }
    // Pins may tie a build to crews of two teams: the first does what it can.
    return Math.max(0, best);
  };
  const giveAll = (builds: readonly number[], team: number) => {
    for (const build of builds) give(build, team);
  };
  /** As much of a village as the idlest team has left, then the next one. */
  const split = (builds: readonly number[]): void => {
    let team = -1;
    for (const build of builds) {
      const isOver = team >= 0 && (left[team] as number) < (1 - OVER_BUILDS) * loadOf(build);
      if (team < 0 || isOver || !canDo(team, build)) team = idlest(build);
      give(build, team);
    }
  };
  if (rule.deals === 'one') {
    for (const build of open) give(build, idlest(build));
    return inOrder(built, order);
  }
  const byVillage = new Map<number, number[]>();
  for (const build of open) {
    byVillage.set(village(build), [...(byVillage.get(village(build)) ?? []), build]);
  }
  const hasRoom = (team: number, builds: readonly number[]): boolean => {
    const load = builds.reduce((sum, build) => sum + loadOf(build), 0);
    const over = (OVER_BUILDS * load) / Math.max(1, builds.length);
    return load <= (left[team] as number) + over && builds.every((build) => canDo(team, build));
  };
  if (rule.deals === 'turns') {
    for (const builds of byVillage.values()) {
      const team = idlest(builds[0] as number);
      if (hasRoom(team, builds)) giveAll(builds, team);
      else split(builds);
    }
    return inOrder(built, order);
  }
  for (const [team, crews] of teams.entries()) {
    const homes = crews.map((crew) => compiled.homeVillage[crew] as number);
    const last = built[team]?.at(-1);
    let at = homes.find((home) => home >= 0) ?? (last === undefined ? -1 : village(last));
    for (;;) {
      let next = -1;
      const way = (to: number) => (at < 0 ? 0 : (season.moveDays[at]?.[to] ?? 0));
      for (const [to, builds] of byVillage) {
        if (hasRoom(team, builds) && (next < 0 || way(to) < way(next))) next = to;
      }
      if (next < 0) break;
      giveAll(byVillage.get(next) ?? [], team);
      byVillage.delete(next);
      at = next;
    }
  }
  for (const builds of byVillage.values()) split(builds);
  return inOrder(built, order);
}

function inOrder(built: readonly number[][], order: readonly number[]): number[][] {
  const place = new Map(order.map((build, at) => [build, at]));
  return built.map((own) => own.sort((a, b) => (place.get(a) ?? 0) - (place.get(b) ?? 0)));
}

function earlierCrewOf(
  { buildFirst, groupOf, earlierCrew }: CompiledSeason,
  group: number,
  build: number,
): number {
  for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
    if (groupOf[at] === group && (earlierCrew[at] as number) >= 0) return earlierCrew[at] as number;
  }
  return -1;
}
