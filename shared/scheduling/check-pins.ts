import type { BuildSeason, SeasonBuild } from './build-season.ts';
import { type CheckedStage, canDo, type ReportFault } from './checked-stage.ts';

/**
 * Holds the stages of a build against its pins. A pin of the build holds its crew for the stages of
 * every trade that it can do with its people, unless a stage of that trade has a pin of its own.
 *
 * @source season-rules the rules, not the method
 */
export function checkPins(
  season: BuildSeason,
  build: SeasonBuild,
  stages: readonly CheckedStage[],
  report: ReportFault,
): void {
  const left = stages.filter(({ planned }) => planned.standing !== 'done');
  const open = left.filter(({ planned }) => planned.standing === 'planned');
  const isHeld = (crewId: string, checked: CheckedStage): boolean => {
    const { stage } = checked;
    const crew = season.crews.find(({ id }) => id === crewId);
    const isPinnedAlone = ({ stage: { code } }: CheckedStage) =>
      build.pins.some((pin) => pin.crewId !== null && pin.stageCode === code);
    const ofTrade = left.filter((one) => one.stage.trade === stage.trade);
    if (ofTrade.some(isPinnedAlone) && stage.trade !== null) return false;
    const same = ofTrade.filter((one) => !isPinnedAlone(one));
    const can = (one: CheckedStage) =>
      crew !== undefined && canDo(crew, one.stage) && crew.people >= one.stage.people;
    return same.includes(checked) && same.every(can);
  };
  for (const { stageCode, crewId, startDay, id } of build.pins) {
    const held = open.filter(({ stage }) => stageCode === null || stage.code === stageCode);
    for (const one of held) {
      if (crewId === null || one.planned.crewId === crewId) continue;
      if (stageCode === null && !isHeld(crewId, one)) continue;
      const at = { buildId: build.id, stageCode: one.stage.code, crewId: one.planned.crewId };
      report('pin', `pin ${id} gives it to crew ${crewId}`, at);
    }
    const first = Math.min(...held.map(({ planned }) => planned.startDay ?? 0));
    // A start of the whole build says nothing once it has begun.
    const isOpen = held.length > 0 && (stageCode !== null || build.facts.length === 0);
    if (startDay !== null && isOpen && first !== startDay) {
      const detail = `pin ${id} starts it on day ${startDay}`;
      report('pin', detail, { buildId: build.id, stageCode, day: first });
    }
  }
}
