import type { BuildProgress } from '../../../../shared/contract/stage-record.ts';
import type { OutboxItem } from '../outbox/outbox-item.ts';

export type Stage = BuildProgress['stages'][number];

/** What this phone recorded of a stage that the copy from the service does not know of yet. */
export const recordsOfStage = (
  items: readonly OutboxItem[],
  buildId: string,
  stageCode: string,
): OutboxItem[] =>
  items.filter(
    ({ title, state }) =>
      title.buildId === buildId && title.stageCode === stageCode && state !== 'sent',
  );

/** The state of a stage with the records of this phone counted in, as far as they say it alone. */
export function stateOnPhone(stage: Stage, records: readonly OutboxItem[]): Stage['status'] {
  let { status } = stage;
  for (const { title, state } of records) {
    if (state === 'refused') continue;
    if (title.kind === 'stage-started' && status === 'not-started') status = 'in-progress';
    if (title.kind === 'stage-finished' && status === 'in-progress') {
      status = stage.holdPoint === 'hold' ? 'awaiting-release' : 'accepted';
    }
    if (title.kind === 'stage-hold-released' && status === 'awaiting-release') status = 'accepted';
    if (title.kind === 'stage-hold-refused' && status === 'awaiting-release') {
      status = 'nonconforming';
    }
  }
  return status;
}
