import type { StageFactOfPlan } from '../../../shared/scheduling/build-season.ts';
import type { StageProgress, StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { SeasonDays } from './season-days.ts';

/** Days that a plan gives to put right what did not pass and nobody has decided about. */
const PUT_RIGHT_DAYS = 1;

/** What is known of a build's stages, as facts that its plan starts from. */
export function factsOfPlan(
  template: StageTemplate,
  { stages }: StageProjection,
  crewId: string | null,
  days: SeasonDays,
  holdReleaseDays: number,
): StageFactOfPlan[] {
  const workDays = new Map(template.map((stage) => [stage.code, Math.ceil(stage.workDays)]));
  return stages.flatMap((stage): StageFactOfPlan[] => {
    const whole = workDays.get(stage.stageCode) ?? 1;
    const done = (followedFromDay: number | null): StageFactOfPlan[] => [
      {
        kind: 'done',
        stageCode: stage.stageCode,
        finishDay: days.dayOf(stage.finishedOn ?? stage.startedOn ?? '') + 1,
        crewId,
        followedFromDay,
      },
    ];
    const begun = (remainingDays: number): StageFactOfPlan[] => [
      { kind: 'begun', stageCode: stage.stageCode, remainingDays, crewId },
    ];
    switch (stage.status) {
      case 'not-started':
        return [];
      case 'accepted':
        return done(null);
      case 'awaiting-release':
        return done(holdReleaseDays);
      case 'in-progress':
        return begun(Math.max(1, whole - daysWorked(stage, days)));
      case 'nonconforming':
        return begun(stage.finishedOn === null ? whole : PUT_RIGHT_DAYS);
      default:
        return begun(whole);
    }
  });
}

/** Calendar days since the start, which count as worked: nobody records a day without work. */
const daysWorked = ({ startedOn }: StageProgress, days: SeasonDays): number =>
  startedOn === null ? 0 : Math.max(0, -days.dayOf(startedOn));
