import type { BuildDraft } from './build-generator.ts';
import { type CompiledSeason, NO_DAY } from './compiled-season.ts';

/** How a first order of builds is laid out. */
export interface StartLayout {
  /** Village from which the chain of villages starts. */
  readonly firstVillage: number;
  /** Share of the days into a build that counts in the order: 0 build by build, 1 all by day. */
  readonly depth: number;
  /** Blocks of builds after which a crew comes back for what had to wait; 0: it stays until done. */
  readonly blocksUntilBack: number;
  /** Order of the villages: along the shortest moves, or by due days or releases first. */
  readonly by: 'way' | 'due' | 'release';
  readonly keepsEarlierCrews: boolean;
}

/** A wait from which on a crew goes elsewhere meanwhile. Ours. */
const LONG_WAIT_DAYS = 7;
const CALENDAR_DAYS_A_WORK_DAY = 7 / 6;
/** Share of the aim by which a crew may have more work before another takes over. Ours. */
const SAME_VILLAGE_BONUS = 0.1;

/** Person-days of a group still ahead. */
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
 * Gives the builds to teams and crews, village after village, each team until it has its share of
 * the work, and writes an order of their stages.
 *
 * @param teams crews of each team
 * @param draft its crews and keys are written
 * @returns builds of each team, in order
 * @source serial-generation
 */
export function startBuilds(
  compiled: CompiledSeason,
  teams: readonly (readonly number[])[],
  layout: StartLayout,
  draft: BuildDraft,
): number[][] {
  const { groups, isPlannable, buildFirst, villageOf } = compiled;
  const loads = groupLoads(compiled);
  const groupsOf = groupsByBuild(compiled);
  const total = loads.reduce((sum, load) => sum + load, 0);
  const people = compiled.season.crews.reduce((sum, crew) => sum + crew.people, 0);
  const span = Math.max(60, (CALENDAR_DAYS_A_WORK_DAY * total) / people);
  const room = crewRooms(compiled, span);
  const teamOf = new Int32Array(room.length);
  for (const [team, crews] of teams.entries()) for (const crew of crews) teamOf[crew] = team;
  const teamRoom = teams.map((crews) =>
    crews.reduce((sum, crew) => sum + (room[crew] as number), 0),
  );
  const teamLoad = teams.map(() => 0);
  const crewLoad = new Float64Array(room.length);
  const aim = total / teamRoom.reduce((sum, one) => sum + one, 0);
  const built: number[][] = teams.map(() => []);
  const loadOf = (build: number) =>
    (groupsOf[build] ?? []).reduce((sum, group) => sum + (loads[group] as number), 0);
  const canDo = (team: number, build: number): boolean =>
    (groupsOf[build] ?? []).every((group) => {
      const held = groups[group]?.heldCrew ?? -1;
      if (held >= 0) return teamOf[held] === team;
      return (groups[group]?.crews ?? []).some((crew) => teamOf[crew] === team);
    });
  const lastCrew = new Map<string, number>();
  const give = (build: number, team: number): void => {
    built[team]?.push(build);
    teamLoad[team] = (teamLoad[team] as number) + loadOf(build);
    const village = villageOf[buildFirst[build] as number] as number;
    for (const group of groupsOf[build] ?? []) {
      const { heldCrew, crews, trade } = groups[group] as CompiledSeason['groups'][number];
      const key = `${team} ${trade} ${village}`;
      let by = heldCrew;
      if (by < 0) {
        const worth = (crew: number) =>
          (crewLoad[crew] as number) / (room[crew] as number) -
          (lastCrew.get(key) === crew ? SAME_VILLAGE_BONUS * aim : 0);
        for (const crew of crews) {
          if (teamOf[crew] === team && (by < 0 || worth(crew) < worth(by))) by = crew;
        }
        const earlier = earlierCrewOf(compiled, group, build);
        if (layout.keepsEarlierCrews && crews.includes(earlier) && teamOf[earlier] === team)
          by = earlier;
      }
      lastCrew.set(key, by);
      draft.crewOf[group] = by;
      crewLoad[by] = (crewLoad[by] as number) + (loads[group] as number);
    }
  };
  const ordered = buildOrder(compiled, layout).filter((build) => isPlannable[build] === 1);
  const held = new Set<number>();
  for (const build of ordered) {
    const fixed = (groupsOf[build] ?? [])
      .map((group) => {
        const crew = groups[group]?.heldCrew ?? -1;
        return crew >= 0 || !layout.keepsEarlierCrews
          ? crew
          : earlierCrewOf(compiled, group, build);
      })
      .find((crew) => crew >= 0);
    if (fixed === undefined || !canDo(teamOf[fixed] as number, build)) continue;
    held.add(build);
    give(build, teamOf[fixed] as number);
  }
  let current = -1;
  for (const build of ordered) {
    if (held.has(build)) continue;
    const after = (team: number) =>
      ((teamLoad[team] as number) + loadOf(build) / 2) / (teamRoom[team] as number);
    if (current < 0 || after(current) > aim || !canDo(current, build)) {
      current = -1;
      for (const team of teams.keys()) {
        if (canDo(team, build) && (current < 0 || after(team) < after(current))) current = team;
      }
    }
    // Pins may tie a build to crews of two teams; the first that can do part of it has it.
    give(build, Math.max(0, current));
  }
  for (const own of built) {
    const place = new Map(ordered.map((build, at) => [build, at]));
    own.sort((a, b) => (place.get(a) ?? 0) - (place.get(b) ?? 0));
  }
  for (const [team, own] of built.entries()) {
    layOut(compiled, own, loadOf, teamRoom[team] as number, layout, draft);
  }
  return built;
}

function earlierCrewOf(
  { buildFirst, groupOf, earlierCrew }: CompiledSeason,
  group: number,
  build: number,
) {
  for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
    if (groupOf[at] === group && (earlierCrew[at] as number) >= 0) return earlierCrew[at] as number;
  }
  return -1;
}

/**
 * Builds village by village.
 *
 * @source serial-generation
 */
export function buildOrder(
  compiled: CompiledSeason,
  { by, firstVillage }: Pick<StartLayout, 'by' | 'firstVillage'>,
): number[] {
  const { season, buildFirst, villageOf, dueDay, floorDay } = compiled;
  const village = (build: number) => villageOf[buildFirst[build] as number] as number;
  const release = (build: number) => floorDay[buildFirst[build] as number] as number;
  const order = season.builds.map((_, build) => build);
  const rank = new Float64Array(season.villages.length);
  if (by === 'way') {
    const left = new Set(season.villages.keys());
    for (let at = firstVillage, place = 0; left.size > 0; place += 1) {
      left.delete(at);
      rank[at] = place;
      const row = season.moveDays[at] ?? [];
      let next = -1;
      for (const other of left) {
        if (next < 0 || (row[other] ?? 0) < (row[next] ?? 0)) next = other;
      }
      at = next;
    }
  } else {
    const counts = new Float64Array(rank.length);
    for (const build of order) {
      const at = village(build);
      const day = by === 'due' ? Math.min(dueDay[build] as number, 1e6) : release(build);
      rank[at] = (rank[at] as number) + day;
      counts[at] = (counts[at] as number) + 1;
    }
    for (const at of rank.keys())
      rank[at] = (rank[at] as number) / Math.max(1, counts[at] as number);
  }
  const due = (build: number) => Math.min(dueDay[build] as number, NO_DAY);
  return order.sort(
    (a, b) =>
      (rank[village(a)] as number) - (rank[village(b)] as number) ||
      village(a) - village(b) ||
      due(a) - due(b) ||
      release(a) - release(b) ||
      a - b,
  );
}

/** Keys of the stages: builds of a village side by side, then the next village, waits made use of. */
function layOut(
  compiled: CompiledSeason,
  builds: readonly number[],
  loadOf: (build: number) => number,
  room: number,
  { depth, blocksUntilBack }: StartLayout,
  draft: BuildDraft,
): void {
  const { buildFirst, villageOf, buildUnitFrom, unitFrom, unitActivity } = compiled;
  const into = new Float64Array(compiled.activityCount);
  const isLater = new Uint8Array(compiled.activityCount);
  for (const build of builds) headsOf(compiled, build, into, isLater);
  const blocks: number[][] = [];
  let village = -1;
  for (const build of builds) {
    const own = villageOf[buildFirst[build] as number] as number;
    if (own !== village) blocks.push([]);
    village = own;
    blocks.at(-1)?.push(build);
  }
  let day = 0;
  const ends: number[] = [];
  const later: { unit: number; block: number; key: number }[] = [];
  for (const [block, own] of blocks.entries()) {
    let end = day;
    for (const build of own) {
      day = Math.max(day, (compiled.floorDay[buildFirst[build] as number] as number) * 0.5);
      for (
        let unit = buildUnitFrom[build] as number;
        unit < (buildUnitFrom[build + 1] as number);
        unit += 1
      ) {
        const activity = unitActivity[unitFrom[unit] as number] as number;
        const natural = day + (into[activity] as number);
        draft.key[unit] = day + depth * (into[activity] as number);
        if (isLater[activity] === 1 && blocksUntilBack > 0)
          later.push({ unit, block, key: natural });
        else end = Math.max(end, natural);
      }
      day += (CALENDAR_DAYS_A_WORK_DAY * loadOf(build)) / room;
    }
    day = Math.max(day, end);
    ends.push(day);
  }
  for (const { unit, block, key } of later) {
    const leaves = ends[block] as number;
    if (key <= leaves) continue;
    const back = ends[Math.min(block + blocksUntilBack, ends.length - 1)] as number;
    draft.key[unit] = Math.max(key, back + 1 + block);
  }
}

function headsOf(
  compiled: CompiledSeason,
  build: number,
  into: Float64Array,
  isLater: Uint8Array,
): void {
  const { buildUnitFrom, unitFrom, unitActivity, predecessors, workDays } = compiled;
  const { from, other, minimumWaitDays } = predecessors;
  const first = unitFrom[buildUnitFrom[build] as number] as number;
  const end = unitFrom[buildUnitFrom[build + 1] as number] as number;
  for (let at = first; at < end; at += 1) {
    const activity = unitActivity[at] as number;
    for (let row = from[activity] as number; row < (from[activity + 1] as number); row += 1) {
      const before = other[row] as number;
      const wait = minimumWaitDays[row] as number;
      const days = CALENDAR_DAYS_A_WORK_DAY * (workDays[before] as number) + wait;
      into[activity] = Math.max(into[activity] as number, (into[before] as number) + days);
      if (wait >= LONG_WAIT_DAYS || isLater[before] === 1) isLater[activity] = 1;
    }
  }
}
