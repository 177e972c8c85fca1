import type { BrokenRule, DecisionFact, StageFact } from './stage-facts.ts';
import type { StageHistory } from './stage-history.ts';
import { nonconformitiesOf } from './stage-nonconformities.ts';
import type { Stage } from './stage-template.ts';

/** A concession departs from the approved design: the engineer's alone. */
const CONCEDES = 'engineer';
const DECIDE: readonly string[] = ['engineer', 'inspector', 'coordinator'];

/**
 * Judges a decision about work that did not pass: who may take it, and whether there is an open
 * non-conformity to decide about.
 *
 * A concession is the engineer's. Rework and rejection are decided by engineer, inspector or
 * coordinator, and about a refused hold also by the role that releases it.
 *
 * @param history of the stage by the facts up to the date of the decision
 * @returns the first rule it breaks, or null
 * @source tank-practice
 */
export function refuseDecision(
  history: StageHistory,
  fact: DecisionFact,
  actorRoles: readonly string[],
): BrokenRule | null {
  const { stage, facts } = history;
  const at = { stageCode: stage.code };
  const decided = facts.find(({ factId }) => factId === fact.decidesFactId);
  const wrongRole = refuseRole(stage, decided, fact, actorRoles);
  if (wrongRole !== null) return wrongRole;
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

function refuseRole(
  stage: Stage,
  decided: StageFact | undefined,
  { decision }: DecisionFact,
  actorRoles: readonly string[],
): BrokenRule | null {
  const at = { rule: 'decided-by-wrong-role', stageCode: stage.code } as const;
  if (decision === 'concession') {
    if (actorRoles.includes(CONCEDES)) return null;
    const detail = `a concession is given by the ${CONCEDES}`;
    return { ...at, requiredRole: CONCEDES, detail };
  }
  const isRefusedHold = decided?.kind === 'hold-refused';
  const deciders =
    isRefusedHold && stage.releasedBy !== null ? [...DECIDE, stage.releasedBy] : DECIDE;
  if (actorRoles.some((role) => deciders.includes(role))) return null;
  const detail = `${decision} is decided by ${[...new Set(deciders)].join(', ')}`;
  return { ...at, detail };
}
