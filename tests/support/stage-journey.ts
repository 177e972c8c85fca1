import type { StageTemplate } from '../../shared/scheduling/stage-template.ts';
import { addDays } from '../../shared/units/calendar.ts';

export interface JourneyFact {
  readonly stageCode: string;
  readonly kind: 'started' | 'finished' | 'check-recorded' | 'hold-released';
  readonly observedOn: string;
  readonly checkCode?: string;
  readonly measuredValue?: number;
}

/** Facts of a build that goes well: each stage on the first day that the waits allow. */
export function goodJourney(template: StageTemplate, startsOn: string): JourneyFact[] {
  const facts: JourneyFact[] = [];
  let day = startsOn;
  for (const stage of template) {
    const finishedOn = addDays(day, Math.ceil(stage.workDays) - 1);
    facts.push({ stageCode: stage.code, kind: 'started', observedOn: day });
    facts.push({ stageCode: stage.code, kind: 'finished', observedOn: finishedOn });
    for (const check of stage.checks) {
      facts.push({
        stageCode: stage.code,
        kind: 'check-recorded',
        observedOn: finishedOn,
        checkCode: check.code,
        measuredValue: check.nominal ?? check.minimum ?? check.maximum ?? 1,
      });
    }
    if (stage.holdPoint === 'hold') {
      facts.push({ stageCode: stage.code, kind: 'hold-released', observedOn: finishedOn });
    }
    day = addDays(finishedOn, Math.max(1, stage.minimumWaitDays));
  }
  return facts;
}
