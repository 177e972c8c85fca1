import { byObservation } from './fact-order.ts';
import type { DecisionFact, StageFact } from './stage-facts.ts';

/** What stands of the decisions about one stage. */
export interface StageDecisions {
  /** The last decision about each fact that did not pass, by the id of that fact. */
  readonly inForce: ReadonlyMap<string, DecisionFact>;
  /** The last rework in force: what was seen of the stage before it no longer counts. */
  readonly reworkFrom: StageFact | null;
  /** The first rejection in force that no later rework lifts. */
  readonly rejectedBy: DecisionFact | null;
}

/**
 * The decisions in force among facts of one stage: about each fact that did not pass the last one
 * holds. A decision whose fact has not arrived waits for it. Rework takes hold when it was decided,
 * or when the fact was seen if that was later; it lifts the rejections before it.
 *
 * @param facts of one stage, in order
 * @param didNotPass whether a fact can be decided about
 * @source tank-practice
 */
export function decisionsInForce(
  facts: readonly StageFact[],
  didNotPass: (fact: StageFact) => boolean,
): StageDecisions {
  const inForce = new Map<string, DecisionFact>();
  const openings = new Map<string, StageFact>();
  for (const fact of facts) {
    if (fact.kind !== 'nonconformity-decided') continue;
    const decided = facts.find(({ factId }) => factId === fact.decidesFactId);
    if (decided === undefined || !didNotPass(decided)) continue;
    inForce.set(decided.factId, fact);
    openings.set(decided.factId, decided);
  }
  let reworkFrom: StageFact | null = null;
  for (const [factId, fact] of inForce) {
    if (fact.decision !== 'rework') continue;
    const opening = openings.get(factId) ?? fact;
    const from = byObservation(opening, fact) > 0 ? opening : fact;
    if (reworkFrom === null || byObservation(from, reworkFrom) > 0) reworkFrom = from;
  }
  const rejections = [...inForce.values()].filter(
    (fact) =>
      fact.decision === 'reject' && (reworkFrom === null || byObservation(fact, reworkFrom) > 0),
  );
  return { inForce, reworkFrom, rejectedBy: rejections.sort(byObservation)[0] ?? null };
}
