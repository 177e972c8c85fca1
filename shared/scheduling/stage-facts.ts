import type { StageRole } from './stage-template.ts';

interface FactBase {
  /** Unique; sorts in the order of recording on one day when it is a UUIDv7. */
  readonly factId: string;
  readonly stageCode: string;
  /** Calendar date on which it was seen, whenever it arrives. */
  readonly observedOn: string;
  /** When its device recorded it, in milliseconds since 1970; orders the facts of one date. */
  readonly recordedAtMs?: number | undefined;
}

/** What may be decided about work that did not pass. */
export type NonconformityDecision = 'rework' | 'concession' | 'reject';

export interface UsedQuantity {
  readonly materialId: string;
  /** Decimal text. */
  readonly quantity: string;
  readonly unitCode: string;
}

/** What people saw on site. Facts are only ever added. */
export type StageFact =
  | (FactBase & { readonly kind: 'started' })
  | (FactBase & { readonly kind: 'finished' })
  | (FactBase & {
      readonly kind: 'check-recorded';
      readonly checkCode: string;
      readonly measuredValue: number;
    })
  | (FactBase & { readonly kind: 'hold-released' })
  | (FactBase & { readonly kind: 'hold-refused'; readonly reason: string })
  | (FactBase & {
      readonly kind: 'work-recorded';
      readonly crewId: string;
      readonly peopleCount: number;
      /** Decimal text. */
      readonly personHours: string;
      readonly quantities: readonly UsedQuantity[];
    })
  | (FactBase & {
      readonly kind: 'nonconformity-decided';
      /** The fact that did not pass. */
      readonly decidesFactId: string;
      readonly decision: NonconformityDecision;
      readonly reason: string;
      readonly cause: string | null;
      readonly dueOn: string | null;
    });

export type DecisionFact = Extract<StageFact, { kind: 'nonconformity-decided' }>;

export type StageRule =
  | 'unknown-stage'
  | 'unknown-check'
  | 'duplicate-fact'
  | 'stage-out-of-order'
  | 'wait-not-over'
  | 'hold-open'
  | 'check-failed'
  | 'check-missing'
  | 'in-rework'
  | 'stage-rejected'
  | 'already-started'
  | 'finished-before-started'
  | 'already-finished'
  | 'check-before-start'
  | 'work-before-start'
  | 'no-hold-point'
  | 'hold-before-finish'
  | 'already-released'
  | 'released-by-wrong-role'
  | 'decides-unknown-record'
  | 'nothing-to-decide'
  | 'decided-by-wrong-role';

/** The rule that a fact breaks, with the stage that stands in its way. */
export interface BrokenRule {
  readonly rule: StageRule;
  readonly stageCode: string;
  readonly checkCode?: string;
  /** First date on which the wait is over. */
  readonly earliestOn?: string;
  readonly requiredRole?: StageRole;
  readonly detail: string;
}
