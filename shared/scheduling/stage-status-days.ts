import { orderedFacts } from './fact-order.ts';
import type { StageFact } from './stage-facts.ts';
import { type StageHistory, stageHistories } from './stage-history.ts';
import { type StageStatus, statusOfStage } from './stage-state.ts';
import type { StageTemplate } from './stage-template.ts';

/** How a stage stood by the end of each day of a stretch. */
export interface StatusDays {
  readonly stageCode: string;
  readonly status: StageStatus;
  readonly sinceOn: string;
  /** First day on which it stood otherwise; null while it stands so. */
  readonly untilOn: string | null;
}

/**
 * Since when, and until when, each stage stood how: on every day what the facts observed until then
 * say, whenever they arrived. Stages that have not started have no entry.
 *
 * A fact is judged by what was seen until its day, so the history of all facts holds that of the facts
 * until any day, and a stage stands otherwise only from a day of its own facts on.
 *
 * @param fromDay stretches that began before it are left out
 * @returns by stage in the order of the template, then by day
 * @throws {EngineError} `inconsistent` when one id names two different facts
 * @source tank-practice
 */
export function stageStatusDays(
  template: StageTemplate,
  facts: readonly StageFact[],
  fromDay = '',
): StatusDays[] {
  const histories = stageHistories(template, orderedFacts(facts));
  return [...histories.values()].flatMap(statusDaysOf).filter(({ sinceOn }) => sinceOn >= fromDay);
}

function statusDaysOf({ stage, facts, stateAfter }: StageHistory): StatusDays[] {
  const found: StatusDays[] = [];
  let running = null as { status: StageStatus; sinceOn: string } | null;
  for (const [index, { observedOn }] of facts.entries()) {
    if (facts[index + 1]?.observedOn === observedOn) continue;
    const status = statusOfStage(stage, stateAfter(index + 1));
    if (status === (running?.status ?? 'not-started')) continue;
    if (running) found.push({ stageCode: stage.code, ...running, untilOn: observedOn });
    running = status === 'not-started' ? null : { status, sinceOn: observedOn };
  }
  return running ? [...found, { stageCode: stage.code, ...running, untilOn: null }] : found;
}
