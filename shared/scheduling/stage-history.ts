import { byObservation } from './fact-order.ts';
import { decisionsInForce, type StageDecisions } from './stage-decisions.ts';
import type { BrokenRule, StageFact, StageRule } from './stage-facts.ts';
import { releaseObstacles, type StageStates, startObstacles } from './stage-obstacles.ts';
import {
  isCheckedAgain,
  isFailedCheck,
  type SeenFacts,
  type StageState,
  stagesBefore,
  stateOf,
  statusOfStage,
} from './stage-state.ts';
import type { Stage, StageTemplate } from './stage-template.ts';

/** The facts of one stage with what each of them meant when it was seen. */
export interface StageHistory {
  readonly stage: Stage;
  /** In order. */
  readonly facts: readonly StageFact[];
  /** The rules that facts broke, by fact; facts that broke none are left out. */
  readonly brokenBy: ReadonlyMap<string, readonly BrokenRule[]>;
  readonly decisions: StageDecisions;
  readonly state: StageState;
  /** State by the first facts alone. */
  readonly stateAfter: (count: number) => StageState;
}

type Histories = ReadonlyMap<string, StageHistory>;

/**
 * Whether a decision may be taken about a fact: a check outside its limits, a refused hold, or
 * work that went against a rule. A release against a rule does not count and is given anew instead.
 *
 * @source tank-practice
 */
export function isDecidable(
  stage: Stage,
  fact: StageFact,
  brokenBy: ReadonlyMap<string, readonly BrokenRule[]>,
): boolean {
  if (fact.kind === 'hold-refused' || isFailedCheck(stage, fact)) return true;
  const isVerdict = fact.kind === 'hold-released' || fact.kind === 'nonconformity-decided';
  return !isVerdict && brokenBy.has(fact.factId);
}

/**
 * History of every stage from ordered facts. Facts on stages outside the template are left aside.
 *
 * A fact is judged by what was seen before it; facts of one day may carry no hour, so what was seen
 * on its day speaks for it whether it came before or after.
 *
 * @param template whose stages come after those that they follow
 * @param ordered facts, each once
 * @source tank-practice
 */
export function stageHistories(
  template: StageTemplate,
  ordered: readonly StageFact[],
): Map<string, StageHistory> {
  const own = new Map<string, StageFact[]>(template.map(({ code }) => [code, []]));
  for (const fact of ordered) own.get(fact.stageCode)?.push(fact);
  const histories = new Map<string, StageHistory>();
  for (const stage of template) {
    const facts = own.get(stage.code) ?? [];
    histories.set(stage.code, historyOf(template, stage, facts, histories));
  }
  return histories;
}

/**
 * State of every stage from ordered facts.
 *
 * @source tank-practice
 */
export function stageStates(
  template: StageTemplate,
  ordered: readonly StageFact[],
): Map<string, StageState> {
  const histories = stageHistories(template, ordered);
  return new Map([...histories].map(([code, { state }]) => [code, state]));
}

/** How many of the facts, which are in order, meet a condition that holds up to a point. */
function countWhile(facts: readonly StageFact[], isMet: (fact: StageFact) => boolean): number {
  const end = facts.findIndex((fact) => !isMet(fact));
  return end < 0 ? facts.length : end;
}

function historyOf(
  template: StageTemplate,
  stage: Stage,
  facts: readonly StageFact[],
  earlier: Histories,
): StageHistory {
  const brokenBy = new Map<string, readonly BrokenRule[]>();
  const isVoid = (fact: StageFact): boolean => brokenBy.has(fact.factId);
  const didNotPass = (fact: StageFact): boolean => isDecidable(stage, fact, brokenBy);
  const seenAfter = (count: number): SeenFacts => {
    const seen = facts.slice(0, count);
    return { stage, facts: seen, decisions: decisionsInForce(seen, didNotPass), isVoid };
  };
  const before = stagesBefore(template, stage.code);
  const statesWhile = (isMet: (fact: StageFact) => boolean): StageStates => {
    const states = new Map<string, StageState>();
    for (const { code } of before) {
      const history = earlier.get(code);
      if (history === undefined) continue;
      states.set(code, history.stateAfter(countWhile(history.facts, isMet)));
    }
    return states;
  };
  /** What was broken both by the facts before and by all facts of the day. */
  const judge = (
    fact: StageFact,
    obstacles: (isMet: (other: StageFact) => boolean) => BrokenRule[],
  ): void => {
    if (obstacles((other) => byObservation(other, fact) < 0).length === 0) return;
    const broken = obstacles((other) => other.observedOn <= fact.observedOn);
    if (broken.length > 0) brokenBy.set(fact.factId, broken);
  };

  // Releases come after the rest: what they are judged by does not depend on other releases.
  facts.forEach((fact, index) => {
    if (fact.kind === 'started') {
      if (stateOf(seenAfter(index)).isStartedSinceRework) return;
      judge(fact, (isMet) =>
        startObstacles(template, stage.code, statesWhile(isMet), fact.observedOn),
      );
      return;
    }
    const rule = RULE_BEFORE_START[fact.kind];
    if (rule === undefined || isStartedBy(facts, fact.observedOn)) return;
    const detail = `no start of ${stage.code} on or before ${fact.observedOn}`;
    brokenBy.set(fact.factId, [{ rule, stageCode: stage.code, detail }]);
  });
  for (const fact of facts) {
    if (fact.kind !== 'hold-released') continue;
    judge(fact, (isMet) => {
      const state = stateOf(seenAfter(countWhile(facts, isMet)));
      return releaseObstacles(template, stage, state, statesWhile(isMet));
    });
  }

  const stateAfter = remembered(facts.length, (count) => {
    const seen = seenAfter(count);
    const state = stateOf(seen);
    const { reworkFrom } = seen.decisions;
    if (reworkFrom === null || isAcceptedSince(stage, reworkFrom, seen, seenAfter)) return state;
    return { ...state, inReworkSince: reworkFrom.observedOn };
  });
  const all = seenAfter(facts.length);
  const state = stateAfter(facts.length);
  return { stage, facts, brokenBy, decisions: all.decisions, state, stateAfter };
}

const RULE_BEFORE_START: Readonly<Partial<Record<StageFact['kind'], StageRule>>> = {
  finished: 'finished-before-started',
  'check-recorded': 'check-before-start',
  'work-recorded': 'work-before-start',
};

const isStartedBy = (facts: readonly StageFact[], day: string): boolean =>
  facts.some(({ kind, observedOn }) => kind === 'started' && observedOn <= day);

/** Whether the stage was accepted, all checks read again, at some time after the rework. */
function isAcceptedSince(
  stage: Stage,
  reworkFrom: StageFact,
  seen: SeenFacts,
  seenAfter: (count: number) => SeenFacts,
): boolean {
  return seen.facts.some((fact, index) => {
    if (byObservation(fact, reworkFrom) <= 0) return false;
    const then = seenAfter(index + 1);
    const state = stateOf(then);
    return statusOfStage(stage, state) === 'accepted' && isCheckedAgain(then, state);
  });
}

/** A function of 0 to most that works each answer out once. */
function remembered<Answer>(
  most: number,
  work: (count: number) => Answer,
): (count: number) => Answer {
  const answers = new Array<Answer | undefined>(most + 1);
  return (count) => {
    const known = answers[count];
    if (known !== undefined) return known;
    const answer = work(count);
    answers[count] = answer;
    return answer;
  };
}
