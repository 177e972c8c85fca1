import { EngineError } from '../errors.ts';
import type { StageFact } from './stage-facts.ts';
import type { Stage, StageCheck, StageTemplate } from './stage-template.ts';

export interface CheckReading {
  readonly checkCode: string;
  readonly measuredValue: number;
  readonly observedOn: string;
  readonly isWithinLimits: boolean;
}

/** What the facts say about one stage, before the other stages are looked at. */
export interface StageState {
  readonly startedOn: string | null;
  readonly finishedOn: string | null;
  readonly releasedOn: string | null;
  readonly refusedOn: string | null;
  readonly refusalReason: string | null;
  /** The last reading of each check that was recorded, in the order of the template. */
  readonly readings: readonly CheckReading[];
}

const byObservation = (a: StageFact, b: StageFact): number => {
  const [first, second] = [`${a.observedOn} ${a.factId}`, `${b.observedOn} ${b.factId}`];
  return first < second ? -1 : first > second ? 1 : 0;
};

/**
 * The facts in the order in which things were seen, each fact once: by date, and on one date by id.
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

/**
 * Whether a reading keeps the limits of its check. A check with neither limit only informs.
 *
 * @source tank-practice
 */
export function isWithinLimits(check: StageCheck, measuredValue: number): boolean {
  return (
    (check.minimum === undefined || measuredValue >= check.minimum) &&
    (check.maximum === undefined || measuredValue <= check.maximum)
  );
}

function stateOf(stage: Stage, facts: readonly StageFact[]): StageState {
  const own = facts.filter((fact) => fact.stageCode === stage.code);
  const verdict = own.filter((f) => f.kind === 'hold-released' || f.kind === 'hold-refused').at(-1);
  const finishedOn = own.filter((fact) => fact.kind === 'finished').at(-1)?.observedOn ?? null;
  return {
    startedOn: own.find((fact) => fact.kind === 'started')?.observedOn ?? null,
    finishedOn,
    releasedOn: verdict?.kind === 'hold-released' ? verdict.observedOn : null,
    refusedOn: verdict?.kind === 'hold-refused' ? verdict.observedOn : null,
    refusalReason: verdict?.kind === 'hold-refused' ? verdict.reason : null,
    readings: stage.checks.flatMap((check): CheckReading[] => {
      const last = own
        .filter((fact) => fact.kind === 'check-recorded')
        .filter((fact) => fact.checkCode === check.code)
        .at(-1);
      return last === undefined
        ? []
        : [
            {
              checkCode: check.code,
              measuredValue: last.measuredValue,
              observedOn: last.observedOn,
              isWithinLimits: isWithinLimits(check, last.measuredValue),
            },
          ];
    }),
  };
}

/**
 * State of every stage from ordered facts. Facts on stages outside the template are left aside.
 *
 * @source tank-practice
 */
export function stageStates(
  template: StageTemplate,
  ordered: readonly StageFact[],
): Map<string, StageState> {
  return new Map(template.map((stage) => [stage.code, stateOf(stage, ordered)]));
}

/**
 * All stages that come before a stage, nearest last, in the order of the template.
 *
 * @source tank-practice
 */
export function stagesBefore(template: StageTemplate, stageCode: string): Stage[] {
  const wanted = new Set(template.find((stage) => stage.code === stageCode)?.after ?? []);
  for (const stage of template.toReversed()) {
    if (wanted.has(stage.code)) for (const code of stage.after) wanted.add(code);
  }
  return template.filter((stage) => wanted.has(stage.code));
}
