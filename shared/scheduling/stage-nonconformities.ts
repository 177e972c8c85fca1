import { byObservation } from './fact-order.ts';
import type { NonconformityDecision, StageFact } from './stage-facts.ts';
import { isDecidable, type StageHistory } from './stage-history.ts';
import { isFailedCheck } from './stage-state.ts';

export type NonConformityKind =
  | 'check-failed'
  | 'hold-refused'
  | 'started-against-a-rule'
  | 'finished-before-started'
  | 'released-against-a-rule'
  | 'recorded-before-start'
  | 'decided-without-ground';

export type NonConformityState = 'open' | 'in-rework' | 'closed';

/** What was last decided about a non-conformity. */
export interface DecisionTaken {
  readonly factId: string;
  readonly decision: NonconformityDecision;
  readonly decidedOn: string;
  readonly reason: string;
  readonly cause: string | null;
  readonly dueOn: string | null;
}

export interface NonConformity {
  /** The fact that did not pass. */
  readonly recordId: string;
  readonly kind: NonConformityKind;
  readonly stageCode: string;
  readonly checkCode?: string;
  readonly observedOn: string;
  readonly detail: string;
  readonly state: NonConformityState;
  readonly decision: DecisionTaken | null;
}

/**
 * Every non-conformity of a stage, closed ones too, in the order in which they were seen.
 *
 * A failed check closes with a newer reading of the check, a refused hold with a release that
 * counts, any of them with a concession. After rework it stays in rework until the stage is accepted
 * again. Rejected work stays open until a later decision.
 *
 * @source tank-practice
 */
export function nonconformitiesOf(history: StageHistory): NonConformity[] {
  return history.facts.flatMap((fact): NonConformity[] => {
    const what = whatDidNotPass(history, fact);
    if (what === null) return [];
    const { factId: recordId, stageCode, observedOn } = fact;
    const decided = history.decisions.inForce.get(recordId);
    return [
      {
        recordId,
        stageCode,
        observedOn,
        ...what,
        state: stateOfEntry(history, fact),
        decision: decided
          ? {
              factId: decided.factId,
              decision: decided.decision,
              decidedOn: decided.observedOn,
              reason: decided.reason,
              cause: decided.cause,
              dueOn: decided.dueOn,
            }
          : null,
      },
    ];
  });
}

const KIND_OF_BROKEN: Readonly<Partial<Record<StageFact['kind'], NonConformityKind>>> = {
  started: 'started-against-a-rule',
  finished: 'finished-before-started',
  'hold-released': 'released-against-a-rule',
  'check-recorded': 'recorded-before-start',
  'work-recorded': 'recorded-before-start',
};

function whatDidNotPass(
  { stage, facts, brokenBy }: StageHistory,
  fact: StageFact,
): Pick<NonConformity, 'kind' | 'checkCode' | 'detail'> | null {
  if (fact.kind === 'check-recorded' && isFailedCheck(stage, fact)) {
    const { checkCode, measuredValue } = fact;
    const detail = `${checkCode} is ${measuredValue}, outside its limits`;
    return { kind: 'check-failed', checkCode, detail };
  }
  if (fact.kind === 'hold-refused') return { kind: 'hold-refused', detail: fact.reason };
  if (fact.kind === 'nonconformity-decided') {
    const decided = facts.find(({ factId }) => factId === fact.decidesFactId);
    if (decided !== undefined && isDecidable(stage, decided, brokenBy)) return null;
    const detail =
      decided === undefined
        ? `no record ${fact.decidesFactId} of ${stage.code}`
        : `record ${fact.decidesFactId} of ${stage.code} did pass`;
    return { kind: 'decided-without-ground', detail };
  }
  const broken = brokenBy.get(fact.factId);
  const kind = KIND_OF_BROKEN[fact.kind];
  if (broken === undefined || kind === undefined) return null;
  return { kind, detail: broken.map(({ rule, detail }) => `${rule}: ${detail}`).join('; ') };
}

function stateOfEntry(history: StageHistory, fact: StageFact): NonConformityState {
  const { decisions, state } = history;
  const decided = decisions.inForce.get(fact.factId);
  if (decided?.decision === 'concession') return 'closed';
  if (fact.kind === 'nonconformity-decided') return 'open';
  const { reworkFrom } = decisions;
  const isBeforeRework = (other: StageFact): boolean =>
    reworkFrom !== null && byObservation(other, reworkFrom) <= 0;
  if (decided?.decision === 'reject' && !isBeforeRework(decided)) return 'open';
  const successor = laterWord(history, fact);
  if (!isBeforeRework(fact)) return successor === undefined ? 'open' : 'closed';
  if (decided === undefined && successor !== undefined && isBeforeRework(successor)) {
    return 'closed';
  }
  return state.inReworkSince === null ? 'closed' : 'in-rework';
}

/** The later fact that speaks in the place of one that did not pass. */
function laterWord(
  { stage, facts, brokenBy }: StageHistory,
  fact: StageFact,
): StageFact | undefined {
  const later = facts.filter((other) => byObservation(other, fact) > 0);
  if (fact.kind === 'check-recorded' && isFailedCheck(stage, fact)) {
    const { checkCode } = fact;
    return later.find((other) => other.kind === 'check-recorded' && other.checkCode === checkCode);
  }
  if (fact.kind !== 'hold-refused' && fact.kind !== 'hold-released') return undefined;
  return later.find((other) => other.kind === 'hold-released' && !brokenBy.has(other.factId));
}
