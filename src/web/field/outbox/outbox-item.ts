import type { ProblemBody } from '../../../../shared/contract/problem.ts';

/** What a record is about, in the words of the page that made it: shown while it waits. */
export interface ItemTitle {
  /** A kind that the texts know: `stage-started`, `inspection`, `stock-issue`. */
  readonly kind: string;
  /** Code of the build or store. */
  readonly at: string;
  readonly buildId?: string;
  readonly stageCode?: string;
  readonly checkCode?: string;
  /** Title of the stage or material. */
  readonly of: string;
  /** What was measured or counted. */
  readonly value?: string;
}

/** `sent`: the service has it. `refused`: it said no and why; the person decides what becomes of it. */
export type ItemState = 'waiting' | 'sent' | 'refused';

export interface NewItem {
  readonly recordId: string;
  readonly path: string;
  readonly body: Readonly<Record<string, unknown>>;
  readonly title: ItemTitle;
  readonly observedOn: string;
  /** The record that this one stands on: it is not tried while that one is refused. */
  readonly afterRecordId?: string | undefined;
}

export interface OutboxItem extends NewItem {
  /** Order of making, given by the phone's database. */
  readonly position: number;
  /** Idempotency key: a new one only after a refusal, so that no answer is lost. */
  readonly key: string;
  readonly personId: string;
  readonly personName: string;
  /** The device's clock. */
  readonly madeAt: string;
  readonly state: ItemState;
  readonly sentAt: string | null;
  readonly problem: Refused | null;
}

export interface Refused {
  readonly title: string;
  readonly detail: string;
  readonly code: string;
  readonly errors: readonly { readonly pointer: string; readonly message: string }[];
}

export interface WaitingPhoto {
  readonly id: string;
  readonly recordId: string;
  readonly noun: 'stage-record' | 'inspection' | 'build';
  readonly blob: Blob;
  readonly caption: string;
  readonly takenOn: string;
  readonly personId: string;
  readonly problem: Refused | null;
}

/** What is shown of a problem. */
export const refusedBy = (problem: ProblemBody): Refused => ({
  title: problem.title,
  detail: problem.detail ?? '',
  code: problem.rule ?? problem.code,
  errors: (problem.errors ?? []).map(({ pointer, message }) => ({ pointer, message })),
});
