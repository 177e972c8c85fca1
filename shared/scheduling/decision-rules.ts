import type { BrokenRule, DecisionFact, StageFact } from './stage-facts.ts';
import type { StageHistory } from './stage-history.ts';
import { nonconformitiesOf } from './stage-nonconformities.ts';
import type { Stage } from './stage-template.ts';

/** A concession departs from the approved design: the engineer's alone. */
const CONCEDES = 'engineer';
const DECIDE: readonly string[] = ['engineer', 'inspector', 'coordinator'];

/**
 * Judges whether there is an open non-conformity that a decision can be about.
 *
 * @param history of the stage by the facts up to the date of the decision
 * @returns the first rule it breaks, or null
 * @source tank-practice
 */
export function refuseDecision(history: StageHistory, fact: DecisionFact): BrokenRule | null {
  const { stage, facts } = history;
  const at = { stageCode: stage.code };
  const decided = facts.find(({ factId }) => factId === fact.decidesFactId);
  if (decided === undefined) {
    const detail = `${fact.decidesFactId} is no record of ${stage.code} by ${fact.observedOn}`;
    return { rule: 'decides-unknown-record', ...at, detail };
  }
  const entry = nonconformitiesOf(history).find(({ recordId }) => recordId === decided.factId);
  if (entry === undefined || entry.state === 'closed') {
    const detail = `record ${decided.factId} of ${stage.code} is no open non-conformity`;
    return { rule: 'nothing-to-decide', ...at, detail };
  }
  if (entry.kind === 'released-against-a-rule' || entry.kind === 'decided-without-ground') {
    const detail = `a ${decided.kind} is not decided about: record it anew when it is right`;
    return { rule: 'nothing-to-decide', ...at, detail };
  }
  return null;
}

/**
 * Judges who takes a decision. A concession is the engineer's. Rework and rejection are decided by
 * engineer, inspector or coordinator, and about a refused hold also by the role that releases it.
 *
 * @param facts among them the one that is decided about, unless it has not arrived
 * @returns the rule that it breaks, or null
 * @source tank-practice
 */
export function refuseDecider(
  stage: Stage,
  facts: readonly StageFact[],
  { decision, decidesFactId }: DecisionFact,
  actorRoles: readonly string[],
): BrokenRule | null {
  const at = { rule: 'decided-by-wrong-role', stageCode: stage.code } as const;
  if (decision === 'concession') {
    if (actorRoles.includes(CONCEDES)) return null;
    const detail = `a concession is given by the ${CONCEDES}`;
    return { ...at, requiredRole: CONCEDES, detail };
  }
  const decided = facts.find(({ factId }) => factId === decidesFactId);
  const isRefusedHold = decided?.kind === 'hold-refused' && decided.stageCode === stage.code;
  const deciders =
    isRefusedHold && stage.releasedBy !== null ? [...DECIDE, stage.releasedBy] : DECIDE;
  if (actorRoles.some((role) => deciders.includes(role))) return null;
  const detail = `${decision} is decided by ${[...new Set(deciders)].join(', ')}`;
  return { ...at, detail };
}
