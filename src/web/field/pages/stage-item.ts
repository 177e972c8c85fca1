import { v7 as uuidv7 } from 'uuid';
import type { NewItem } from '../outbox/outbox-item.ts';
import type { Common } from './keep-form.tsx';

export interface StageAt {
  readonly buildId: string;
  readonly buildCode: string;
  readonly stageCode: string;
  readonly stageTitle: string;
}

interface StageFact {
  readonly kind: string;
  readonly value?: string;
  readonly of?: string;
  readonly checkCode?: string;
  readonly fields?: Readonly<Record<string, unknown>>;
  readonly afterRecordId?: string | undefined;
}

/**
 * One fact of a stage for the outbox. It goes the way of records that may be late or overtake each
 * other, because other phones record the same build.
 */
export function stageItem(at: StageAt, { observedOn, note }: Common, fact: StageFact): NewItem {
  const id = uuidv7();
  const { kind, value, fields, checkCode, afterRecordId } = fact;
  const record = {
    id,
    buildId: at.buildId,
    stageCode: at.stageCode,
    kind,
    observedOn,
    note,
    deviceRecordedAt: new Date().toISOString(),
    ...(checkCode === undefined ? {} : { checkCode }),
    ...fields,
  };
  return {
    recordId: id,
    path: '/v1/stage-record-batches',
    body: { records: [record] },
    observedOn,
    afterRecordId,
    title: {
      kind: `stage-${kind}`,
      at: at.buildCode,
      of: fact.of ?? at.stageTitle,
      buildId: at.buildId,
      stageCode: at.stageCode,
      ...(checkCode === undefined ? {} : { checkCode }),
      ...(value === undefined ? {} : { value }),
    },
  };
}
