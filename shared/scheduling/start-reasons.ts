import type { BuildDraft } from './build-generator.ts';
import type { StartReason } from './build-plan.ts';
import { type CompiledSeason, NO_DAY, STANDING } from './compiled-season.ts';
import type { CrewDays } from './crew-days.ts';

/**
 * Why each planned stage does not start a day sooner: the first that holds of its pin, a stage before
 * it, its release, a day without work, the rains, its crew being away, busy or on the road,
 * equipment, and a stage that must follow soon.
 *
 * @param days with the whole plan taken
 * @returns by activity; `nothing` on day 0, for facts, and where the plan could be sooner
 * @source critical-path
 */
export function startReasons(
  compiled: CompiledSeason,
  draft: BuildDraft,
  days: CrewDays,
): StartReason[] {
  const { season, activityCount, standing, groupOf, buildOf, buildFirst, begunBy } = compiled;
  const { successors, people, villageOf, pinnedDay, isPlannable } = compiled;
  const { startDay, finishDay } = draft;
  const crewOf = (activity: number): number =>
    (begunBy[activity] as number) >= 0
      ? (begunBy[activity] as number)
      : (draft.crewOf[groupOf[activity] as number] as number);
  const stagesOf = new Map(season.templates.map(({ id, stages }) => [id, stages]));
  const at = (activity: number) => {
    const build = season.builds[buildOf[activity] as number];
    const stages = stagesOf.get(build?.templateId ?? '') ?? [];
    const place = activity - (buildFirst[buildOf[activity] as number] as number);
    return { buildId: build?.id ?? '', stageCode: stages[place]?.code ?? '' };
  };
  const ownOf: number[][] = season.crews.map(() => []);
  const usersOf: number[][] = season.equipment.map(() => []);
  for (let activity = 0; activity < activityCount; activity += 1) {
    if (standing[activity] === STANDING.done || isPlannable[buildOf[activity] as number] === 0)
      continue;
    ownOf[crewOf(activity)]?.push(activity);
    for (
      let row = compiled.equipmentFrom[activity] as number;
      row < (compiled.equipmentFrom[activity + 1] as number);
      row += 1
    ) {
      usersOf[compiled.equipmentAt[row] as number]?.push(activity);
    }
  }
  const isOn = (activity: number, other: number, day: number): boolean =>
    other !== activity && (startDay[other] as number) <= day && day < (finishDay[other] as number);
  const worksOn = (other: number, day: number): boolean => {
    const { workedBefore } = days.daysOf(other, crewOf(other));
    return workedBefore[day] !== workedBefore[day + 1];
  };

  const beforeIt = (activity: number, start: number): StartReason | null => {
    const build = season.builds[buildOf[activity] as number];
    const stages = stagesOf.get(build?.templateId ?? '') ?? [];
    const first = buildFirst[buildOf[activity] as number] as number;
    for (const { stageCode, minimumWaitDays } of stages[activity - first]?.after ?? []) {
      const other = first + stages.findIndex(({ code }) => code === stageCode);
      const fact = build?.facts.find((one) => one.stageCode === stageCode);
      const held = fact?.kind === 'done' ? (fact.followedFromDay ?? -NO_DAY) : -NO_DAY;
      if (Math.max((finishDay[other] as number) + minimumWaitDays, held) === start) {
        return { kind: 'stage', stageCode };
      }
    }
    return (compiled.floorDay[activity] as number) === start ? { kind: 'release' } : null;
  };

  const busyOn = (activity: number, crew: number, day: number): StartReason => {
    const own = ownOf[crew] ?? [];
    const other = own.find((one) => isOn(activity, one, day) && worksOn(one, day));
    return other === undefined ? { kind: 'nothing' } : { kind: 'crew', ...at(other) };
  };

  const sooner = (activity: number, start: number): StartReason => {
    const crew = crewOf(activity);
    const work = draft.days[activity] as number;
    const { workDay, workedBefore } = days.daysOf(activity, crew);
    const first = workedBefore[start] as number;
    if (workDay[first] !== start) return { kind: 'no-work-day' };
    const free = days.freeByDay(crew);
    const places = days.villageByDay(crew);
    const village = villageOf[activity] as number;
    for (let nth = first; nth < first + work; nth += 1) {
      const day = workDay[nth] as number;
      if (compiled.isBlockedByRain[activity] === 1 && days.isRain(day)) return { kind: 'rains' };
      if ((free[day] as number) < 0) return { kind: 'crew-away' };
      const place = places[day] as number;
      if (
        (free[day] as number) < (people[activity] as number) ||
        (place >= 0 && place !== village)
      ) {
        return busyOn(activity, crew, day);
      }
    }
    if (days.firstFit(activity, crew, start, work, true) === start)
      return soonAfter(activity, crew, start, work);
    const finish = days.finishOf(activity, crew, start, work);
    for (
      let row = compiled.equipmentFrom[activity] as number;
      row < (compiled.equipmentFrom[activity + 1] as number);
      row += 1
    ) {
      const lent = compiled.equipmentAt[row] as number;
      const units = season.equipment[lent]?.units ?? 0;
      for (let day = start; day < finish; day += 1) {
        if (
          (days.lentByDay(lent)[day] as number) + (compiled.equipmentUnits[row] as number) <=
          units
        )
          continue;
        const other = usersOf[lent]?.find((one) => isOn(activity, one, day));
        if (other === undefined) continue;
        return { kind: 'equipment', equipmentId: season.equipment[lent]?.id ?? '', ...at(other) };
      }
    }
    let day = start;
    while (day >= 0 && (places[day] as number) < 0) day -= 1;
    const from = day >= 0 && places[day] !== village ? (places[day] as number) : days.homeOf(crew);
    if (from >= 0 && from !== village) {
      return { kind: 'move', fromVillageId: season.villages[from]?.id ?? '' };
    }
    // The way on to the next village would be too short.
    day = start;
    while (day < days.horizonDays && ((places[day] as number) < 0 || places[day] === village))
      day += 1;
    return day < days.horizonDays ? busyOn(activity, crew, day) : { kind: 'nothing' };
  };

  const soonAfter = (activity: number, crew: number, start: number, work: number): StartReason => {
    const finish = days.finishOf(activity, crew, start, work);
    const { from, other, maximumWaitDays } = successors;
    for (let row = from[activity] as number; row < (from[activity + 1] as number); row += 1) {
      const most = maximumWaitDays[row] as number;
      const next = other[row] as number;
      if (most >= 0 && (startDay[next] as number) > finish + most) {
        return { kind: 'maximum-wait', stageCode: at(next).stageCode };
      }
    }
    return { kind: 'nothing' };
  };

  return Array.from({ length: activityCount }, (_, activity): StartReason => {
    const start = startDay[activity] as number;
    if (standing[activity] !== STANDING.planned || start <= 0) return { kind: 'nothing' };
    if (isPlannable[buildOf[activity] as number] === 0) return { kind: 'nothing' };
    if (pinnedDay[activity] === start) return { kind: 'pin' };
    // Between floor and start lie days without work only: those come first to mind.
    const before = beforeIt(activity, start);
    if (before !== null) return before;
    const crew = crewOf(activity);
    days.giveBack(activity, crew, start, draft.days[activity] as number);
    const reason = sooner(activity, start - 1);
    days.take(activity, crew, start, draft.days[activity] as number);
    return reason;
  });
}
