import { addDays } from '../units/calendar.ts';
import type { BrokenRule, StageFact } from './stage-facts.ts';
import { startObstacles } from './stage-rules.ts';
import { type CheckReading, orderedFacts, stageStates, stagesBefore } from './stage-state.ts';
import type { StageTemplate } from './stage-template.ts';

export type StageStatus =
  | 'not-started'
  | 'in-progress'
  | 'awaiting-release'
  | 'nonconforming'
  | 'accepted';

export interface StageProgress {
  readonly stageCode: string;
  readonly status: StageStatus;
  readonly startedOn: string | null;
  readonly finishedOn: string | null;
  readonly releasedOn: string | null;
  readonly readings: readonly CheckReading[];
  /** First date on which it may start; null while something other than a wait is in the way. */
  readonly earliestStartOn: string | null;
  /** True when nothing but waits stands before it and it has not started. */
  readonly isOpenToStart: boolean;
  readonly obstacles: readonly BrokenRule[];
}

export interface NonConformity {
  readonly kind:
    | 'check-failed'
    | 'hold-refused'
    | 'started-against-a-rule'
    | 'finished-before-started';
  readonly stageCode: string;
  readonly checkCode?: string;
  readonly observedOn: string;
  readonly detail: string;
}

export interface StageProjection {
  readonly stages: readonly StageProgress[];
  /** Finished stages whose hold has not been released. */
  readonly openHolds: readonly string[];
  readonly nonConformities: readonly NonConformity[];
  /** Every stage accepted. */
  readonly isComplete: boolean;
}

/**
 * Rules that the start of a stage broke. Facts carry a date and no hour, so what was seen on the
 * day of the start speaks for it whether it came before or after.
 */
function brokenAtStart(
  template: StageTemplate,
  stageCode: string,
  ordered: readonly StageFact[],
): BrokenRule[] {
  const at = ordered.findIndex((fact) => fact.kind === 'started' && fact.stageCode === stageCode);
  const start = ordered[at];
  if (start === undefined) return [];
  const onDate = start.observedOn;
  const before = stageStates(template, ordered.slice(0, at));
  if (startObstacles(template, stageCode, before, onDate).length === 0) return [];
  const sameDay = ordered.filter((fact) => fact.observedOn <= onDate);
  return startObstacles(template, stageCode, stageStates(template, sameDay), onDate);
}

/**
 * What a set of facts says about a build: status of each stage, open holds, earliest starts and
 * non-conformities. It depends on the facts alone, not on the order in which they arrived nor on
 * how often each arrived.
 *
 * A stage is accepted when it is finished, its checks are within limits and its hold, if it has
 * one, is released. A stage that facts show to have started against a rule keeps its status and is
 * listed as a non-conformity.
 *
 * @source tank-practice
 */
export function projectStages(
  template: StageTemplate,
  facts: readonly StageFact[],
): StageProjection {
  const ordered = orderedFacts(facts);
  const states = stageStates(template, ordered);
  const nonConformities: NonConformity[] = [];
  const stages = template.map((stage): StageProgress => {
    const state = states.get(stage.code) ?? {
      startedOn: null,
      finishedOn: null,
      releasedOn: null,
      refusedOn: null,
      refusalReason: null,
      readings: [],
    };
    const failed = state.readings.filter((reading) => !reading.isWithinLimits);
    for (const reading of failed) {
      nonConformities.push({
        kind: 'check-failed',
        stageCode: stage.code,
        checkCode: reading.checkCode,
        observedOn: reading.observedOn,
        detail: `${reading.checkCode} is ${reading.measuredValue}, outside its limits`,
      });
    }
    if (state.refusedOn !== null) {
      nonConformities.push({
        kind: 'hold-refused',
        stageCode: stage.code,
        observedOn: state.refusedOn,
        detail: state.refusalReason ?? '',
      });
    }
    const { startedOn, finishedOn } = state;
    if (finishedOn !== null && (startedOn === null || finishedOn < startedOn)) {
      nonConformities.push({
        kind: 'finished-before-started',
        stageCode: stage.code,
        observedOn: finishedOn,
        detail: `no start of ${stage.code} on or before ${finishedOn}`,
      });
    }
    for (const broken of brokenAtStart(template, stage.code, ordered)) {
      nonConformities.push({
        kind: 'started-against-a-rule',
        stageCode: stage.code,
        observedOn: startedOn ?? '',
        detail: `${broken.rule}: ${broken.detail}`,
      });
    }
    const obstacles = startObstacles(template, stage.code, states, null);
    const isOpenToStart = startedOn === null && obstacles.length === 0;
    let earliestStartOn: string | null = null;
    if (obstacles.length === 0) {
      for (const before of stagesBefore(template, stage.code)) {
        const endedOn = states.get(before.code)?.finishedOn;
        if (endedOn === null || endedOn === undefined) continue;
        const overOn = addDays(endedOn, before.minimumWaitDays);
        if (earliestStartOn === null || overOn > earliestStartOn) earliestStartOn = overOn;
      }
    }
    const isNonconforming = failed.length > 0 || state.refusedOn !== null;
    const status: StageStatus =
      startedOn === null && finishedOn === null
        ? 'not-started'
        : isNonconforming
          ? 'nonconforming'
          : finishedOn === null
            ? 'in-progress'
            : stage.holdPoint === 'hold' && state.releasedOn === null
              ? 'awaiting-release'
              : 'accepted';
    return {
      stageCode: stage.code,
      status,
      startedOn,
      finishedOn,
      releasedOn: state.releasedOn,
      readings: state.readings,
      earliestStartOn,
      isOpenToStart,
      obstacles,
    };
  });
  return {
    stages,
    openHolds: template
      .filter((stage) => {
        const state = states.get(stage.code);
        return stage.holdPoint === 'hold' && state?.finishedOn != null && state.releasedOn === null;
      })
      .map((stage) => stage.code),
    nonConformities,
    isComplete: stages.every((stage) => stage.status === 'accepted'),
  };
}
