import { EngineError, requireFinite } from '../errors.ts';
import { addDays, isIsoDate } from '../units/calendar.ts';
import type { BrokenRule, StageFact } from './stage-facts.ts';
import { orderedFacts, type StageState, stageStates, stagesBefore } from './stage-state.ts';
import type { Stage, StageRole, StageTemplate } from './stage-template.ts';

const UNSEEN: StageState = {
  startedOn: null,
  finishedOn: null,
  releasedOn: null,
  refusedOn: null,
  refusalReason: null,
  readings: [],
};

const isHeld = (stage: Stage, state: StageState): boolean =>
  stage.holdPoint === 'hold' && state.releasedOn === null;

/**
 * Everything that keeps a stage from starting on a date, nearest cause first by stage order: a
 * predecessor unfinished, its wait not over, its hold open or a check outside its limits.
 *
 * @param onDate null asks for causes that no date alone cures
 * @source tank-practice
 */
export function startObstacles(
  template: StageTemplate,
  stageCode: string,
  states: ReadonlyMap<string, StageState>,
  onDate: string | null,
): BrokenRule[] {
  return stagesBefore(template, stageCode).flatMap((stage): BrokenRule[] => {
    const state = states.get(stage.code) ?? UNSEEN;
    const at = { stageCode: stage.code };
    if (state.finishedOn === null) {
      const detail = `${stage.code} is not finished`;
      return [{ rule: 'stage-out-of-order', ...at, detail }];
    }
    const broken: BrokenRule[] = [];
    if (isHeld(stage, state)) {
      const detail =
        state.refusedOn === null
          ? `the hold of ${stage.code} has not been released`
          : `the hold of ${stage.code} was refused on ${state.refusedOn}`;
      broken.push({ rule: 'hold-open', ...at, detail });
    }
    for (const reading of state.readings) {
      if (!reading.isWithinLimits) {
        broken.push({
          rule: 'check-failed',
          ...at,
          checkCode: reading.checkCode,
          detail: `${reading.checkCode} of ${stage.code} is ${reading.measuredValue}, outside its limits`,
        });
      }
    }
    const earliestOn = addDays(state.finishedOn, stage.minimumWaitDays);
    if (onDate !== null && onDate < earliestOn) {
      broken.push({
        rule: 'wait-not-over',
        ...at,
        earliestOn,
        detail: `${stage.minimumWaitDays} calendar days after ${stage.code} end on ${earliestOn}`,
      });
    }
    return broken;
  });
}

function refuseStart(
  template: StageTemplate,
  stage: Stage,
  states: ReadonlyMap<string, StageState>,
  fact: StageFact,
): BrokenRule | null {
  const state = states.get(stage.code) ?? UNSEEN;
  if (state.startedOn !== null) {
    const detail = `${stage.code} started on ${state.startedOn}`;
    return { rule: 'already-started', stageCode: stage.code, detail };
  }
  return startObstacles(template, stage.code, states, fact.observedOn)[0] ?? null;
}

function refuseFinish(stage: Stage, state: StageState): BrokenRule | null {
  const at = { stageCode: stage.code };
  if (state.startedOn === null) {
    const detail = `${stage.code} has not started`;
    return { rule: 'finished-before-started', ...at, detail };
  }
  // Rework after a refusal or a failed check is finished again.
  const isReworked = state.refusedOn !== null || state.readings.some((r) => !r.isWithinLimits);
  if (state.finishedOn !== null && !isReworked) {
    const detail = `${stage.code} was finished on ${state.finishedOn}`;
    return { rule: 'already-finished', ...at, detail };
  }
  return null;
}

function refuseVerdict(
  template: StageTemplate,
  stage: Stage,
  states: ReadonlyMap<string, StageState>,
  fact: StageFact,
  actorRoles: readonly string[],
): BrokenRule | null {
  const state = states.get(stage.code) ?? UNSEEN;
  const at = { stageCode: stage.code };
  if (stage.holdPoint === 'none' || stage.releasedBy === null) {
    return { rule: 'no-hold-point', ...at, detail: `${stage.code} has no hold or witness point` };
  }
  const requiredRole: StageRole = stage.releasedBy;
  if (!actorRoles.includes(requiredRole)) {
    const detail = `${stage.code} is released by the ${requiredRole}`;
    return { rule: 'released-by-wrong-role', ...at, requiredRole, detail };
  }
  if (state.finishedOn === null) {
    return { rule: 'hold-before-finish', ...at, detail: `${stage.code} is not finished` };
  }
  if (fact.kind === 'hold-refused') return null;
  if (state.releasedOn !== null) {
    const detail = `${stage.code} was released on ${state.releasedOn}`;
    return { rule: 'already-released', ...at, detail };
  }
  const earlier = startObstacles(template, stage.code, states, null)[0];
  if (earlier !== undefined) return earlier;
  const failed = state.readings.find((reading) => !reading.isWithinLimits);
  if (failed !== undefined) {
    const detail = `${failed.checkCode} is ${failed.measuredValue}, outside its limits`;
    return { rule: 'check-failed', ...at, checkCode: failed.checkCode, detail };
  }
  const missing = stage.checks.find(
    (check) => !state.readings.some((reading) => reading.checkCode === check.code),
  );
  if (missing !== undefined) {
    const detail = `${missing.code} has not been recorded`;
    return { rule: 'check-missing', ...at, checkCode: missing.code, detail };
  }
  return null;
}

/**
 * Judges a new fact by what had been seen up to its own date, so that an early fact that arrives
 * late is taken when it holds at its date.
 *
 * @param factsSoFar in any order; facts of later dates are left aside
 * @param actorRoles roles of the person who records it; they matter for holds only
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
  if (!isIsoDate(newFact.observedOn)) {
    throw new EngineError('out-of-range', 'observedOn', newFact.observedOn, 'must be YYYY-MM-DD');
  }
  const stageCode = newFact.stageCode;
  const stage = template.find((candidate) => candidate.code === stageCode);
  if (stage === undefined) {
    return { rule: 'unknown-stage', stageCode, detail: `${stageCode} is not in the template` };
  }
  if (factsSoFar.some((fact) => fact.factId === newFact.factId)) {
    return { rule: 'duplicate-fact', stageCode, detail: `${newFact.factId} is already recorded` };
  }
  const seen = orderedFacts(factsSoFar.filter((fact) => fact.observedOn <= newFact.observedOn));
  const states = stageStates(template, seen);
  const state = states.get(stageCode) ?? UNSEEN;
  switch (newFact.kind) {
    case 'started':
      return refuseStart(template, stage, states, newFact);
    case 'finished':
      return refuseFinish(stage, state);
    case 'check-recorded': {
      requireFinite({ measuredValue: newFact.measuredValue });
      const { checkCode } = newFact;
      if (!stage.checks.some((check) => check.code === checkCode)) {
        const detail = `${checkCode} is not a check of ${stageCode}`;
        return { rule: 'unknown-check', stageCode, checkCode, detail };
      }
      if (state.startedOn === null) {
        const detail = `${stageCode} has not started`;
        return { rule: 'check-before-start', stageCode, checkCode, detail };
      }
      return null;
    }
    default:
      return refuseVerdict(template, stage, states, newFact, actorRoles);
  }
}
