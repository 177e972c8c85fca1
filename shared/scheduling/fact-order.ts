import { EngineError } from '../errors.ts';
import type { StageFact } from './stage-facts.ts';

const UNDATED_MS = -1;

/**
 * Which of two facts was seen first: by date, on one date by the clock of the device (a fact
 * without one comes first), and then by id. No clock of the receiver takes part.
 *
 * @returns negative when a comes first, 0 for one fact
 * @source tank-practice
 */
export function byObservation(a: StageFact, b: StageFact): number {
  if (a.observedOn !== b.observedOn) return a.observedOn < b.observedOn ? -1 : 1;
  const apartMs = (a.recordedAtMs ?? UNDATED_MS) - (b.recordedAtMs ?? UNDATED_MS);
  if (apartMs !== 0) return apartMs;
  return a.factId < b.factId ? -1 : a.factId > b.factId ? 1 : 0;
}

/**
 * The facts in the order in which things were seen, each fact once.
 *
 * @throws {EngineError} `inconsistent` when one id names two different facts
 * @source tank-practice
 */
export function orderedFacts(facts: readonly StageFact[]): StageFact[] {
  const byId = new Map<string, StageFact>();
  for (const fact of facts) {
    const known = byId.get(fact.factId);
    if (known !== undefined && !isSameFact(known, fact)) {
      throw new EngineError('inconsistent', 'factId', fact.factId, 'names two different facts');
    }
    byId.set(fact.factId, fact);
  }
  return [...byId.values()].sort(byObservation);
}

function isSameFact(a: StageFact, b: StageFact): boolean {
  const text = (fact: StageFact): string =>
    JSON.stringify(Object.entries(fact).sort(([x], [y]) => (x < y ? -1 : 1)));
  return text(a) === text(b);
}
