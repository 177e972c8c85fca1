import { addDays } from '../units/calendar.ts';
import type { BrokenRule } from './stage-facts.ts';
import { isAcceptedReading, type StageState, stagesBefore } from './stage-state.ts';
import type { Stage, StageTemplate } from './stage-template.ts';

export type StageStates = ReadonlyMap<string, StageState>;

const isHeld = (stage: Stage, state: StageState): boolean =>
  stage.holdPoint === 'hold' && state.releasedOn === null;

/**
 * Everything that keeps a stage from starting on a date, nearest cause first by stage order: a
 * predecessor rejected, in rework or unfinished, its wait not over, its hold open or a check
 * outside its limits that no concession accepts.
 *
 * @param states of every stage before it; one that is missing counts as unfinished
 * @param onDate null asks for causes that no date alone cures
 * @source tank-practice
 */
export function startObstacles(
  template: StageTemplate,
  stageCode: string,
  states: StageStates,
  onDate: string | null,
): BrokenRule[] {
  return stagesBefore(template, stageCode).flatMap((stage) =>
    obstaclesOf(stage, states.get(stage.code), onDate),
  );
}

function obstaclesOf(
  stage: Stage,
  state: StageState | undefined,
  onDate: string | null,
): BrokenRule[] {
  const at = { stageCode: stage.code };
  if (state !== undefined && state.rejectedOn !== null) {
    const detail = `${stage.code} was rejected on ${state.rejectedOn}`;
    return [{ rule: 'stage-rejected', ...at, detail }];
  }
  if (state !== undefined && state.inReworkSince !== null) {
    const detail = `${stage.code} is in rework since ${state.inReworkSince}`;
    return [{ rule: 'in-rework', ...at, detail }];
  }
  if (state === undefined || state.finishedOn === null) {
    return [{ rule: 'stage-out-of-order', ...at, detail: `${stage.code} is not finished` }];
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
    if (isAcceptedReading(reading)) continue;
    const { checkCode, measuredValue } = reading;
    const detail = `${checkCode} of ${stage.code} is ${measuredValue}, outside its limits`;
    broken.push({ rule: 'check-failed', ...at, checkCode, detail });
  }
  const earliestOn = onDate === null ? null : addDays(state.finishedOn, stage.minimumWaitDays);
  if (onDate !== null && earliestOn !== null && onDate < earliestOn) {
    const detail = `${stage.minimumWaitDays} calendar days after ${stage.code} end on ${earliestOn}`;
    broken.push({ rule: 'wait-not-over', ...at, earliestOn, detail });
  }
  return broken;
}

/**
 * Everything that keeps the hold of a stage from being released: the stage rejected or not
 * finished, a stage before it that would keep it from starting, a check outside its limits or one
 * that nobody has read.
 *
 * @param state of the stage itself
 * @param before states of the stages before it
 * @source tank-practice
 */
export function releaseObstacles(
  template: StageTemplate,
  stage: Stage,
  state: StageState,
  before: StageStates,
): BrokenRule[] {
  const at = { stageCode: stage.code };
  if (state.rejectedOn !== null) {
    const detail = `${stage.code} was rejected on ${state.rejectedOn}`;
    return [{ rule: 'stage-rejected', ...at, detail }];
  }
  if (state.finishedOn === null) {
    return [{ rule: 'hold-before-finish', ...at, detail: `${stage.code} is not finished` }];
  }
  const broken = startObstacles(template, stage.code, before, null);
  for (const { code } of stage.checks) {
    const reading = state.readings.find(({ checkCode }) => checkCode === code);
    if (reading === undefined || isAcceptedReading(reading)) continue;
    const detail = `${code} is ${reading.measuredValue}, outside its limits`;
    broken.push({ rule: 'check-failed', ...at, checkCode: code, detail });
  }
  for (const { code } of stage.checks) {
    if (state.readings.some(({ checkCode }) => checkCode === code)) continue;
    const detail = `${code} has not been recorded`;
    broken.push({ rule: 'check-missing', ...at, checkCode: code, detail });
  }
  return broken;
}
