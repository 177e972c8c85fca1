import { EngineError, requireFinite } from '../errors.ts';
import { isIsoDate } from '../units/calendar.ts';
import { refuseDecider, refuseDecision } from './decision-rules.ts';
import { orderedFacts } from './fact-order.ts';
import type { BrokenRule, StageFact } from './stage-facts.ts';
import { type StageHistory, stageHistories } from './stage-history.ts';
import { releaseObstacles, type StageStates, startObstacles } from './stage-obstacles.ts';
import { isAcceptedReading } from './stage-state.ts';
import type { Stage, StageTemplate } from './stage-template.ts';

/** What a rule may look at: the facts seen up to the date of the new one. */
interface Seen {
  readonly template: StageTemplate;
  readonly history: StageHistory;
  readonly states: StageStates;
}

function refuseStart({ template, history, states }: Seen, onDate: string): BrokenRule | null {
  const { stage, state } = history;
  if (state.isStartedSinceRework) {
    const detail = `${stage.code} started on ${state.startedOn}`;
    return { rule: 'already-started', stageCode: stage.code, detail };
  }
  return refuseRejected(history) ?? startObstacles(template, stage.code, states, onDate)[0] ?? null;
}

function refuseRejected({ stage, state }: StageHistory): BrokenRule | null {
  if (state.rejectedOn === null) return null;
  const detail = `${stage.code} was rejected on ${state.rejectedOn}`;
  return { rule: 'stage-rejected', stageCode: stage.code, detail };
}

function refuseFinish({ history }: Seen): BrokenRule | null {
  const { stage, state } = history;
  const at = { stageCode: stage.code };
  if (state.startedOn === null) {
    const detail = `${stage.code} has not started`;
    return { rule: 'finished-before-started', ...at, detail };
  }
  const rejected = refuseRejected(history);
  if (rejected !== null) return rejected;
  // Work that was refused or failed a check is finished again.
  const isReworked = state.refusedOn !== null || !state.readings.every(isAcceptedReading);
  if (state.finishedOn !== null && !isReworked) {
    const detail = `${stage.code} was finished on ${state.finishedOn}`;
    return { rule: 'already-finished', ...at, detail };
  }
  return null;
}

function refuseReading({ history }: Seen, checkCode: string): BrokenRule | null {
  const { stage, state } = history;
  if (state.startedOn !== null) return null;
  const detail = `${stage.code} has not started`;
  return { rule: 'check-before-start', stageCode: stage.code, checkCode, detail };
}

function refuseWork({ history: { stage, state } }: Seen): BrokenRule | null {
  if (state.startedOn !== null) return null;
  const detail = `${stage.code} has not started`;
  return { rule: 'work-before-start', stageCode: stage.code, detail };
}

function refuseVerdict(
  { template, history, states }: Seen,
  kind: 'hold-released' | 'hold-refused',
): BrokenRule | null {
  const { stage, state } = history;
  const at = { stageCode: stage.code };
  if (kind === 'hold-refused') {
    if (state.finishedOn !== null) return null;
    return { rule: 'hold-before-finish', ...at, detail: `${stage.code} is not finished` };
  }
  if (state.finishedOn !== null && state.releasedOn !== null) {
    const detail = `${stage.code} was released on ${state.releasedOn}`;
    return { rule: 'already-released', ...at, detail };
  }
  return releaseObstacles(template, stage, state, states)[0] ?? null;
}

/**
 * Judges a new fact by what had been seen up to its own date, so that an early fact that arrives
 * late is taken when it holds at its date.
 *
 * @param factsSoFar in any order; facts of later dates are left aside
 * @param actorRoles roles of the person who records it; they matter for holds and decisions only
 * @returns the first rule it breaks, or null when it may be recorded
 * @throws {EngineError} `out-of-range` when its date is not YYYY-MM-DD or its value is not finite
 * @source tank-practice
 */
export function refuseFact(
  template: StageTemplate,
  factsSoFar: readonly StageFact[],
  newFact: StageFact,
  actorRoles: readonly string[],
): BrokenRule | null {
  const refused = refuseLateFact(template, factsSoFar, newFact, actorRoles);
  if (refused !== null) return refused;
  const { stageCode, observedOn } = newFact;
  const upToItsDay = factsSoFar.filter((fact) => fact.observedOn <= observedOn);
  const histories = stageHistories(template, orderedFacts(upToItsDay));
  const history = histories.get(stageCode);
  if (history === undefined) return unknownStage(stageCode);
  const states = new Map([...histories].map(([code, { state }]) => [code, state]));
  const seen: Seen = { template, history, states };
  switch (newFact.kind) {
    case 'started':
      return refuseStart(seen, observedOn);
    case 'finished':
      return refuseFinish(seen);
    case 'check-recorded':
      return refuseReading(seen, newFact.checkCode);
    case 'work-recorded':
      return refuseWork(seen);
    case 'nonconformity-decided':
      return refuseDecision(history, newFact);
    default:
      return refuseVerdict(seen, newFact.kind);
  }
}

/**
 * Judges a fact that may have overtaken others on its way by what no fact still to come can mend:
 * what it is and who says it. What else it breaks is shown by the projection as a non-conformity,
 * until the fact that was missing arrives; so the order of arrival decides nothing.
 *
 * @param factsSoFar in any order
 * @returns the rule that refuses it for good, or null when it is taken
 * @throws {EngineError} `out-of-range` when its date is not YYYY-MM-DD or its value is not finite
 * @source tank-practice
 */
export function refuseLateFact(
  template: StageTemplate,
  factsSoFar: readonly StageFact[],
  newFact: StageFact,
  actorRoles: readonly string[],
): BrokenRule | null {
  const { factId, stageCode, observedOn } = newFact;
  if (!isIsoDate(observedOn)) {
    throw new EngineError('out-of-range', 'observedOn', observedOn, 'must be YYYY-MM-DD');
  }
  if (factsSoFar.some((fact) => fact.factId === factId)) {
    return { rule: 'duplicate-fact', stageCode, detail: `${factId} is already recorded` };
  }
  const stage = template.find(({ code }) => code === stageCode);
  if (stage === undefined) return unknownStage(stageCode);
  switch (newFact.kind) {
    case 'check-recorded':
      requireFinite({ measuredValue: newFact.measuredValue });
      return refuseCheckCode(stage, newFact.checkCode);
    case 'hold-released':
    case 'hold-refused':
      return refuseReleaser(stage, actorRoles);
    case 'nonconformity-decided':
      return refuseDecider(stage, factsSoFar, newFact, actorRoles);
    default:
      return null;
  }
}

const unknownStage = (stageCode: string): BrokenRule => ({
  rule: 'unknown-stage',
  stageCode,
  detail: `${stageCode} is not in the template`,
});

function refuseCheckCode(stage: Stage, checkCode: string): BrokenRule | null {
  if (stage.checks.some(({ code }) => code === checkCode)) return null;
  const detail = `${checkCode} is not a check of ${stage.code}`;
  return { rule: 'unknown-check', stageCode: stage.code, checkCode, detail };
}

function refuseReleaser(stage: Stage, actorRoles: readonly string[]): BrokenRule | null {
  const at = { stageCode: stage.code };
  if (stage.holdPoint === 'none' || stage.releasedBy === null) {
    return { rule: 'no-hold-point', ...at, detail: `${stage.code} has no hold or witness point` };
  }
  const requiredRole = stage.releasedBy;
  if (actorRoles.includes(requiredRole)) return null;
  const detail = `${stage.code} is released by the ${requiredRole}`;
  return { rule: 'released-by-wrong-role', ...at, requiredRole, detail };
}
