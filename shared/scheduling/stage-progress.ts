import { addDays } from '../units/calendar.ts';
import { orderedFacts } from './fact-order.ts';
import type { BrokenRule, StageFact } from './stage-facts.ts';
import { type StageHistory, stageHistories } from './stage-history.ts';
import { type NonConformity, nonconformitiesOf } from './stage-nonconformities.ts';
import { type StageStates, startObstacles } from './stage-obstacles.ts';
import { type CheckReading, type StageStatus, stagesBefore, statusOfStage } from './stage-state.ts';
import type { StageTemplate } from './stage-template.ts';

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

export interface StageProjection {
  readonly stages: readonly StageProgress[];
  /** Finished stages whose hold has not been released. */
  readonly openHolds: readonly string[];
  /** Those that are open or in rework, by stage and in the order in which they were seen. */
  readonly nonConformities: readonly NonConformity[];
  readonly closedNonConformities: readonly NonConformity[];
  /** Every stage accepted. */
  readonly isComplete: boolean;
}

/**
 * What a set of facts says about a build: status of each stage, open holds, earliest starts and
 * non-conformities. It depends on the facts alone, not on the order in which they arrived nor on
 * how often each arrived.
 *
 * A stage is accepted when it is finished, its checks are within limits or accepted by concession,
 * and its hold, if it has one, is released. A failed check or a refused hold takes the acceptance
 * away. After a decision for rework what was recorded of the stage before no longer counts: it is
 * finished, checked and released anew, and in rework until then. Rejected work stays nonconforming
 * until a later decision. A concession on a refused hold lifts the refusal; the release is still
 * given by the role that gives it.
 *
 * A fact that went against a rule is listed as a non-conformity: a stage that started or finished so
 * keeps its status, and a hold released so stays open. When the fact that was missing arrives the
 * non-conformity is gone.
 *
 * @source tank-practice
 */
export function projectStages(
  template: StageTemplate,
  facts: readonly StageFact[],
): StageProjection {
  const histories = stageHistories(template, orderedFacts(facts));
  const states = new Map([...histories].map(([code, { state }]) => [code, state]));
  const found = [...histories.values()].flatMap(nonconformitiesOf);
  const waitsOverOn = new Map<string, string>();
  for (const { code, minimumWaitDays } of template) {
    const finishedOn = states.get(code)?.finishedOn ?? null;
    if (finishedOn !== null) waitsOverOn.set(code, addDays(finishedOn, minimumWaitDays));
  }
  const stages = [...histories.values()].map((history) =>
    progressOf(template, history, states, waitsOverOn),
  );
  return {
    stages,
    openHolds: [...histories.values()]
      .filter(({ stage, state }) => {
        return stage.holdPoint === 'hold' && state.finishedOn !== null && state.releasedOn === null;
      })
      .map(({ stage }) => stage.code),
    nonConformities: found.filter(({ state }) => state !== 'closed'),
    closedNonConformities: found.filter(({ state }) => state === 'closed'),
    isComplete: stages.every(({ status }) => status === 'accepted'),
  };
}

function progressOf(
  template: StageTemplate,
  { stage, state }: StageHistory,
  states: StageStates,
  waitsOverOn: ReadonlyMap<string, string>,
): StageProgress {
  const obstacles = startObstacles(template, stage.code, states, null);
  return {
    stageCode: stage.code,
    status: statusOfStage(stage, state),
    startedOn: state.startedOn,
    finishedOn: state.finishedOn,
    releasedOn: state.releasedOn,
    readings: state.readings,
    earliestStartOn:
      obstacles.length === 0
        ? latest(stagesBefore(template, stage.code).map(({ code }) => waitsOverOn.get(code)))
        : null,
    isOpenToStart: state.startedOn === null && obstacles.length === 0,
    obstacles,
  };
}

/** The last of some dates, or null when there is none. */
function latest(dates: readonly (string | undefined)[]): string | null {
  let last: string | null = null;
  for (const date of dates) if (date !== undefined && (last === null || date > last)) last = date;
  return last;
}
