import type { CompiledSeason } from './compiled-season.ts';

/** Stages of a season up to which all crews of several trades are planned as one team. Ours: speed. */
const STAGES_OF_ONE_TEAM = 2_500;
/** Stages of a team at least, in larger seasons. */
const LEAST_STAGES = 400;

/**
 * Parts the crews into teams that share no build and no scarce equipment, so that each can be planned
 * alone: every crew for itself where one crew does a whole build, teams with all trades otherwise.
 *
 * @returns crews of each team, by their places in the season
 * @source serial-generation
 */
export function crewTeams(compiled: CompiledSeason): number[][] {
  const { season, groups, activityCount, begunBy, groupOf } = compiled;
  const count = season.crews.length;
  const all = season.crews.map((_, crew) => crew);
  if (isEquipmentScarce(compiled)) return [all];
  const groupsOf = new Map<number, number[]>();
  for (const [at, { build }] of groups.entries()) {
    groupsOf.set(build, [...(groupsOf.get(build) ?? []), at]);
  }
  const teamOf = all.slice();
  const merge = (one: number, other: number): void => {
    const [kept, gone] = [teamOf[one] as number, teamOf[other] as number];
    for (const crew of all) if (teamOf[crew] === gone) teamOf[crew] = kept;
  };
  const isOneGroup = [...groupsOf.values()].every((own) => own.length === 1);
  if (!isOneGroup) {
    let teams = 1;
    if (activityCount > STAGES_OF_ONE_TEAM) {
      teams = Math.max(1, Math.min(count, Math.floor(activityCount / LEAST_STAGES)));
    }
    while (teams > 1 && !deal(compiled, teams, teamOf)) teams -= 1;
    if (teams === 1) return [all];
  }
  for (const own of groupsOf.values()) {
    const held = own.map((at) => groups[at]?.heldCrew ?? -1).filter((crew) => crew >= 0);
    for (const crew of held) merge(held[0] as number, crew);
  }
  for (const [activity, by] of begunBy.entries()) {
    const held = groups[groupOf[activity] as number]?.heldCrew ?? -1;
    if (by >= 0 && held >= 0) merge(by, held);
  }
  const names = [...new Set(teamOf)];
  return names.map((team) => all.filter((crew) => teamOf[crew] === team));
}

/** Deals crews of the same trades out in turn; false when a team could not do some group of stages. */
function deal({ season, groups }: CompiledSeason, teams: number, teamOf: number[]): boolean {
  const byTrades = new Map<string, number[]>();
  for (const [crew, { trades }] of season.crews.entries()) {
    const key = trades.slice().sort().join('\n');
    byTrades.set(key, [...(byTrades.get(key) ?? []), crew]);
  }
  let next = 0;
  for (const crews of [...byTrades.values()].sort((a, b) => b.length - a.length)) {
    const byPeople = crews
      .slice()
      .sort((a, b) => (season.crews[b]?.people ?? 0) - (season.crews[a]?.people ?? 0));
    for (const crew of byPeople) teamOf[crew] = next++ % teams;
  }
  const needs = new Map<string, readonly number[]>();
  for (const { crews } of groups) needs.set(crews.join(), crews);
  return [...needs.values()].every(
    (crews) => crews.length === 0 || new Set(crews.map((crew) => teamOf[crew])).size === teams,
  );
}

/** Whether all crews together could ask for more equipment than there is. */
function isEquipmentScarce({ season }: CompiledSeason): boolean {
  const { equipment, templates, crews, villages } = season;
  const [first] = villages;
  const isOneCalendar = villages.every(
    ({ isWorkingDay }) =>
      isWorkingDay.length === first?.isWorkingDay.length &&
      isWorkingDay.every((isWorked, day) => isWorked === first.isWorkingDay[day]),
  );
  return equipment.some(({ id, units }) => {
    const users = templates.flatMap(({ stages }) =>
      stages.flatMap((stage) => {
        const own = stage.equipment.filter(({ equipmentId }) => equipmentId === id);
        const needed = own.reduce((sum, row) => sum + row.units, 0);
        return needed > 0 ? [{ people: stage.people, needed }] : [];
      }),
    );
    if (users.length === 0) return false;
    if (!isOneCalendar) return true;
    const perPerson = Math.max(...users.map(({ people, needed }) => needed / people));
    return crews.reduce((sum, { people }) => sum + people * perPerson, 0) > units;
  });
}
