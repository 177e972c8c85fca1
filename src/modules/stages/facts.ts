import type { NewStageRecord, StageRecord } from '../../../shared/contract/stage-record.ts';
import type { StageFact } from '../../../shared/scheduling/stage-facts.ts';

/** What a record says, whoever sent it and whenever it came. */
export type RecordContent = Omit<StageRecord, 'buildId' | 'recordedById' | 'recordedAt' | 'note'>;

/** A record as it is sent, in the shape in which it is stored. */
export const contentOf = (id: string, sent: Omit<NewStageRecord, 'id'>): RecordContent => ({
  id,
  stageCode: sent.stageCode,
  kind: sent.kind,
  observedOn: sent.observedOn,
  checkCode: sent.checkCode ?? null,
  measuredValue: sent.measuredValue ?? null,
  reason: sent.reason ?? null,
  crewId: sent.crewId ?? null,
  peopleCount: sent.peopleCount ?? null,
  personHours: sent.personHours ?? null,
  quantities: sent.quantities ?? null,
  decidesRecordId: sent.decidesRecordId ?? null,
  decision: sent.decision ?? null,
  cause: sent.cause ?? null,
  dueOn: sent.dueOn ?? null,
  deviceRecordedAt: sent.deviceRecordedAt ?? null,
});

const VERSION_7 = /^[0-9a-f]{8}-[0-9a-f]{4}-7/;

/** When the device made the record: by its clock, or by the time within a version 7 id. */
function recordedAtMs({ id, deviceRecordedAt }: RecordContent): number | undefined {
  if (deviceRecordedAt !== null) return Date.parse(deviceRecordedAt);
  if (!VERSION_7.test(id)) return undefined;
  return Number.parseInt(id.slice(0, 8) + id.slice(9, 13), 16);
}

/** A record as the engine reads it. It hangs on what the record says alone. */
export function factOf(record: RecordContent): StageFact {
  const base = {
    factId: record.id,
    stageCode: record.stageCode,
    observedOn: record.observedOn,
    recordedAtMs: recordedAtMs(record),
  };
  switch (record.kind) {
    case 'check-recorded':
      return {
        ...base,
        kind: 'check-recorded',
        checkCode: record.checkCode ?? '',
        measuredValue: record.measuredValue ?? Number.NaN,
      };
    case 'hold-refused':
      return { ...base, kind: 'hold-refused', reason: record.reason ?? '' };
    case 'work-recorded':
      return {
        ...base,
        kind: 'work-recorded',
        crewId: record.crewId ?? '',
        peopleCount: record.peopleCount ?? 0,
        personHours: record.personHours ?? '0',
        quantities: record.quantities ?? [],
      };
    case 'nonconformity-decided':
      return {
        ...base,
        kind: 'nonconformity-decided',
        decidesFactId: record.decidesRecordId ?? '',
        decision: record.decision ?? 'rework',
        reason: record.reason ?? '',
        cause: record.cause,
        dueOn: record.dueOn,
      };
    default:
      return { ...base, kind: record.kind };
  }
}
