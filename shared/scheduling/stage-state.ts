import { byObservation } from './fact-order.ts';
import type { StageDecisions } from './stage-decisions.ts';
import type { StageFact } from './stage-facts.ts';
import type { Stage, StageCheck, StageTemplate } from './stage-template.ts';

export interface CheckReading {
  readonly checkCode: string;
  readonly measuredValue: number;
  readonly observedOn: string;
  readonly isWithinLimits: boolean;
  /** True when the engineer accepts the reading although it is outside its limits. */
  readonly acceptedByConcession: boolean;
}

/** What the facts say about one stage, before the other stages are looked at. */
export interface StageState {
  /** The first start, whatever was decided since. */
  readonly startedOn: string | null;
  /** Whether it started since the last rework was decided, or at all without one. */
  readonly isStartedSinceRework: boolean;
  readonly finishedOn: string | null;
  readonly releasedOn: string | null;
  readonly refusedOn: string | null;
  readonly refusalReason: string | null;
  /** The last reading of each check that counts, in the order of the template. */
  readonly readings: readonly CheckReading[];
  readonly rejectedOn: string | null;
  /** When rework was decided on a stage that has not been accepted since. */
  readonly inReworkSince: string | null;
}

/** How the stage stands by its own facts. */
export type StageStatus =
  | 'not-started'
  | 'in-progress'
  | 'awaiting-release'
  | 'nonconforming'
  | 'in-rework'
  | 'accepted';

/**
 * Whether a reading keeps the limits of its check. A check with neither limit only informs.
 *
 * @source tank-practice
 */
export function isWithinLimits(check: StageCheck, measuredValue: number): boolean {
  return (
    (check.minimum === undefined || measuredValue >= check.minimum) &&
    (check.maximum === undefined || measuredValue <= check.maximum)
  );
}

/**
 * Whether nothing stands against a reading: it keeps its limits, or a concession accepts it.
 *
 * @source tank-practice
 */
export const isAcceptedReading = (reading: CheckReading): boolean =>
  reading.isWithinLimits || reading.acceptedByConcession;

/**
 * Whether a fact is a reading of the stage outside its limits.
 *
 * @source tank-practice
 */
export function isFailedCheck(stage: Stage, fact: StageFact): boolean {
  if (fact.kind !== 'check-recorded') return false;
  const check = stage.checks.find(({ code }) => code === fact.checkCode);
  return check !== undefined && !isWithinLimits(check, fact.measuredValue);
}

/** The facts of one stage that a reader has seen, with what he knows of each. */
export interface SeenFacts {
  readonly stage: Stage;
  /** Of this stage alone, in order. */
  readonly facts: readonly StageFact[];
  readonly decisions: StageDecisions;
  /** Whether a release broke a rule when it was given; such a release does not count. */
  readonly isVoid: (fact: StageFact) => boolean;
}

/** The facts that count since the last rework. */
const live = ({ facts, decisions: { reworkFrom } }: SeenFacts): readonly StageFact[] =>
  reworkFrom === null ? facts : facts.filter((fact) => byObservation(fact, reworkFrom) > 0);

/**
 * State of a stage by its own facts, with a rework that is not over yet left out of account.
 *
 * @source tank-practice
 */
export function stateOf(seen: SeenFacts): StageState {
  const { stage, facts, decisions, isVoid } = seen;
  const counting = live(seen);
  const hasConcession = (fact: StageFact): boolean =>
    decisions.inForce.get(fact.factId)?.decision === 'concession';
  const verdict = counting.findLast((fact) =>
    fact.kind === 'hold-released'
      ? !isVoid(fact)
      : fact.kind === 'hold-refused' && !hasConcession(fact),
  );
  return {
    startedOn: facts.find(({ kind }) => kind === 'started')?.observedOn ?? null,
    isStartedSinceRework: counting.some(({ kind }) => kind === 'started'),
    finishedOn: counting.findLast(({ kind }) => kind === 'finished')?.observedOn ?? null,
    releasedOn: verdict?.kind === 'hold-released' ? verdict.observedOn : null,
    refusedOn: verdict?.kind === 'hold-refused' ? verdict.observedOn : null,
    refusalReason: verdict?.kind === 'hold-refused' ? verdict.reason : null,
    readings: stage.checks.flatMap((check): CheckReading[] => {
      const last = counting.findLast(
        (fact) => fact.kind === 'check-recorded' && fact.checkCode === check.code,
      );
      if (last?.kind !== 'check-recorded') return [];
      const { measuredValue, observedOn } = last;
      const isWithin = isWithinLimits(check, measuredValue);
      return [
        {
          checkCode: check.code,
          measuredValue,
          observedOn,
          isWithinLimits: isWithin,
          acceptedByConcession: !isWithin && hasConcession(last),
        },
      ];
    }),
    rejectedOn: decisions.rejectedBy?.observedOn ?? null,
    inReworkSince: null,
  };
}

/**
 * Whether every check that was read before the last rework has been read again.
 *
 * @source tank-practice
 */
export function isCheckedAgain(seen: SeenFacts, state: StageState): boolean {
  const { reworkFrom } = seen.decisions;
  if (reworkFrom === null) return true;
  return seen.facts.every(
    (fact) =>
      fact.kind !== 'check-recorded' ||
      byObservation(fact, reworkFrom) > 0 ||
      state.readings.some(({ checkCode }) => checkCode === fact.checkCode),
  );
}

/**
 * Status of a stage: accepted when it is finished, nothing stands against its readings and its
 * hold, if it has one, is released.
 *
 * @source tank-practice
 */
export function statusOfStage(stage: Stage, state: StageState): StageStatus {
  if (state.rejectedOn !== null) return 'nonconforming';
  if (state.inReworkSince !== null) return 'in-rework';
  if (state.startedOn === null && state.finishedOn === null) return 'not-started';
  if (state.refusedOn !== null || !state.readings.every(isAcceptedReading)) return 'nonconforming';
  if (state.finishedOn === null) return 'in-progress';
  return stage.holdPoint === 'hold' && state.releasedOn === null ? 'awaiting-release' : 'accepted';
}

/** Found once for each template and stage: a projection asks for them many times. */
const knownBefore = new WeakMap<StageTemplate, Map<string, Stage[]>>();

/**
 * All stages that come before a stage, nearest last, in the order of the template.
 *
 * @source tank-practice
 */
export function stagesBefore(template: StageTemplate, stageCode: string): readonly Stage[] {
  const known = knownBefore.get(template) ?? new Map<string, Stage[]>();
  knownBefore.set(template, known);
  const found = known.get(stageCode);
  if (found !== undefined) return found;
  const wanted = new Set(template.find((stage) => stage.code === stageCode)?.after ?? []);
  for (const stage of template.toReversed()) {
    if (wanted.has(stage.code)) for (const code of stage.after) wanted.add(code);
  }
  const before = template.filter((stage) => wanted.has(stage.code));
  known.set(stageCode, before);
  return before;
}
