import type { BuildDraft } from './build-generator.ts';
import type { BuildPlan, BuildPlanFigures, CrewMove, PlannedStage } from './build-plan.ts';
import { type CompiledSeason, NO_DAY, STANDING } from './compiled-season.ts';
import { crewDays } from './crew-days.ts';
import { crewMoves } from './crew-moves.ts';
import { startReasons } from './start-reasons.ts';

/**
 * A draft written out as a plan: stages with what they wait for, moves and figures.
 *
 * Builds that no crew or equipment can do are left out, but for their done stages.
 *
 * @source serial-generation
 */
export function assembledPlan(
  compiled: CompiledSeason,
  draft: BuildDraft,
): Pick<BuildPlan, 'stages' | 'moves' | 'figures'> {
  const { season, standing, buildFirst, isPlannable, groupOf, begunBy, pinnedDay } = compiled;
  const days = crewDays(compiled);
  const crewAt = (activity: number): number =>
    (begunBy[activity] as number) >= 0
      ? (begunBy[activity] as number)
      : (draft.crewOf[groupOf[activity] as number] as number);
  for (const [build] of season.builds.entries()) {
    if (isPlannable[build] === 0) continue;
    for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
      if (standing[at] === STANDING.done) continue;
      if (standing[at] === STANDING.begun) days.leaveHome(crewAt(at));
      // Lets the days grow until there is room for the stage.
      days.firstFit(at, crewAt(at), draft.finishDay[at] as number, draft.days[at] as number, true);
      days.take(at, crewAt(at), draft.startDay[at] as number, draft.days[at] as number);
    }
  }
  const reasons = startReasons(compiled, draft, days);
  const stagesOf = new Map(season.templates.map(({ id, stages }) => [id, stages]));
  const stages: PlannedStage[] = [];
  for (const [build, { id, templateId, facts, pins }] of season.builds.entries()) {
    for (const [place, { code }] of (stagesOf.get(templateId) ?? []).entries()) {
      const at = (buildFirst[build] as number) + place;
      const isDone = standing[at] === STANDING.done;
      if (!isDone && isPlannable[build] === 0) continue;
      const fact = facts.find(({ stageCode }) => stageCode === code);
      const crewId = fact?.crewId ?? (isDone ? null : (season.crews[crewAt(at)]?.id ?? null));
      const isPinned = pins.some((pin) =>
        pin.stageCode === null
          ? pin.crewId === crewId || (pin.startDay !== null && pinnedDay[at] === pin.startDay)
          : pin.stageCode === code,
      );
      stages.push({
        buildId: id,
        stageCode: code,
        standing: fact?.kind ?? 'planned',
        crewId,
        startDay: isDone ? null : (draft.startDay[at] as number),
        finishDay: draft.finishDay[at] as number,
        isPinned: isPinned && fact === undefined,
        waitsFor: reasons[at] ?? { kind: 'nothing' },
      });
    }
  }
  const moves = season.crews.flatMap(({ id }, crew) =>
    crewMoves(season, id, days.villageByDay(crew), days.usedUntil(crew), days.homeOf(crew)),
  );
  return { stages, moves, figures: figuresOf(compiled, draft, moves, crewAt) };
}

function figuresOf(
  compiled: CompiledSeason,
  { startDay, finishDay, days }: BuildDraft,
  moves: readonly CrewMove[],
  crewAt: (activity: number) => number,
): BuildPlanFigures {
  const { season, standing, buildFirst, isPlannable, dueDay, people } = compiled;
  const { earlierStart, earlierCrew } = compiled;
  const personDays = season.crews.map(() => 0);
  const lastDay = season.crews.map(() => 0);
  let [finishedDay, tardinessDays, lateBuildCount] = [0, 0, 0];
  let [changedStageCount, changedDays] = [0, 0];
  for (const [build] of season.builds.entries()) {
    let last = -NO_DAY;
    for (let at = buildFirst[build] as number; at < (buildFirst[build + 1] as number); at += 1) {
      const isDone = standing[at] === STANDING.done;
      if (!isDone && isPlannable[build] === 0) continue;
      last = Math.max(last, finishDay[at] as number);
      if (isDone) continue;
      const crew = crewAt(at);
      personDays[crew] = (personDays[crew] ?? 0) + (people[at] as number) * (days[at] as number);
      lastDay[crew] = Math.max(lastDay[crew] ?? 0, finishDay[at] as number);
      const was = earlierStart[at] as number;
      if (was === NO_DAY) continue;
      const moved = Math.abs((startDay[at] as number) - was);
      changedDays += moved;
      if (moved > 0 || earlierCrew[at] !== crew) changedStageCount += 1;
    }
    finishedDay = Math.max(finishedDay, last);
    const late = last - (dueDay[build] as number);
    if (late <= 0) continue;
    tardinessDays += late;
    lateBuildCount += 1;
  }
  return {
    finishedDay,
    tardinessDays,
    lateBuildCount,
    moveCount: moves.length,
    moveDays: moves.reduce((sum, { fromDay, untilDay }) => sum + untilDay - fromDay, 0),
    crewLoads: season.crews.map(({ id }, crew) => ({
      crewId: id,
      personDays: personDays[crew] ?? 0,
      lastDay: lastDay[crew] ?? 0,
    })),
    changedStageCount,
    changedDays,
  };
}
