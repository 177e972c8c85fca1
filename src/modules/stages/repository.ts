import type { NewStageRecord, StageRecord } from '../../../shared/contract/stage-record.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';

export interface BuildUnderWork {
  readonly id: string;
  readonly currency: string;
  readonly cancelled_on: string | null;
  readonly status: string;
  readonly stages: StageTemplate;
  readonly water_depth_m: number;
  readonly is_design_approved: boolean;
}

const BUILD_SQL = `
  select b.id, p.currency, b.cancelled_on, b.status, k.stages,
    (r.input->>'waterDepthM')::float8 as water_depth_m,
    coalesce((select d.decision = 'approved' from design_decision d
      where d.organisation_id = b.organisation_id and d.design_revision_id = b.design_revision_id
      order by d.decided_at desc, d.id desc limit 1), false) as is_design_approved
  from build b
    join programme p on p.organisation_id = b.organisation_id and p.id = b.programme_id
    join tank_kind k on k.organisation_id = b.organisation_id and k.id = b.tank_kind_id
    join design_revision r on r.organisation_id = b.organisation_id and r.id = b.design_revision_id
  where b.organisation_id = $1 and b.id = any($2::uuid[])`;

const RECORD_COLUMNS = `
  id, build_id as "buildId", stage_code as "stageCode", kind, observed_on as "observedOn",
    check_code as "checkCode", measured_value as "measuredValue", reason, crew_id as "crewId",
    people_count as "peopleCount", person_hours as "personHours", quantities,
    decides_record_id as "decidesRecordId", decision, cause, due_on as "dueOn", note,
    device_recorded_at as "deviceRecordedAt", recorded_by_id as "recordedById", recorded_at as "recordedAt"`;

const RECORDS_SQL = `
  select ${RECORD_COLUMNS}
  from stage_record where organisation_id = $1 and build_id = any($2::uuid[])`;

const RECORDS_BY_ID_SQL = `
  select ${RECORD_COLUMNS} from stage_record where organisation_id = $1 and id = any($2::uuid[])`;

const STAGE_COSTS_SQL = `
  select stage_code as code, sum(amount)::text as amount from bill_line
  where organisation_id = $1 and build_id = $2 group by stage_code`;

const INSERT_SQL = `
  insert into stage_record (organisation_id, id, build_id, stage_code, kind, observed_on, check_code,
    measured_value, reason, note, device_recorded_at, recorded_by_id, crew_id, people_count,
    person_hours, quantities, decides_record_id, decision, cause, due_on)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20)`;

const STORE_PROGRESS_SQL = `
  update build set status = $3, percent_complete = $4, current_stage_code = $5, started_on = $6,
    handed_over_on = $7, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

/** The build with its stage template; locked, so that its facts are judged one after the other. */
export async function findBuild(tx: Tx, buildId: string, { lock }: { lock: boolean }) {
  const text = lock ? `${BUILD_SQL} for update of b` : BUILD_SQL;
  const rows = await tx.sql<BuildUnderWork>(text, [tx.organisationId, [buildId]]);
  return rows[0] ?? null;
}

/** Builds of a batch, locked one after the other in the order of their ids, so that batches queue. */
export const lockBuilds = (tx: Tx, buildIds: readonly string[]) =>
  tx.sql<BuildUnderWork>(`${BUILD_SQL} order by b.id for update of b`, [
    tx.organisationId,
    buildIds,
  ]);

export const findBuilds = (tx: Tx, buildIds: readonly string[]) =>
  tx.sql<BuildUnderWork>(BUILD_SQL, [tx.organisationId, buildIds]);

/** All facts of a build; a build has a few dozen, refused above 2,000 by the use-case. */
export const listRecords = (tx: Tx, buildId: string) =>
  tx.sql<StageRecord>(`${RECORDS_SQL} order by observed_on, id`, [tx.organisationId, [buildId]]);

export async function listRecordsPage(
  tx: Tx,
  buildId: string,
  after: readonly string[] | null,
  limit: number,
) {
  const values = [tx.organisationId, [buildId], limit + 1];
  if (!after)
    return tx.sql<StageRecord>(`${RECORDS_SQL} order by observed_on, id limit $3`, values);
  return tx.sql<StageRecord>(
    `${RECORDS_SQL} and (observed_on, id) > ($4::date, $5::uuid) order by observed_on, id limit $3`,
    [...values, after[0], after[1]],
  );
}

export async function findRecord(tx: Tx, buildId: string, id: string): Promise<StageRecord | null> {
  const rows = await tx.sql<StageRecord>(`${RECORDS_SQL} and id = $3`, [
    tx.organisationId,
    [buildId],
    id,
  ]);
  return rows[0] ?? null;
}

/** Records by their ids, whatever their builds. */
export const findRecords = (tx: Tx, ids: readonly string[]) =>
  tx.sql<StageRecord>(RECORDS_BY_ID_SQL, [tx.organisationId, ids]);

/** All facts of many builds. */
export const listRecordsOfMany = (tx: Tx, buildIds: readonly string[]) =>
  tx.sql<StageRecord>(RECORDS_SQL, [tx.organisationId, buildIds]);

/** Facts of many builds that were observed until a day. */
export const listRecordsUntil = (tx: Tx, buildIds: readonly string[], day: string) =>
  tx.sql<StageRecord>(`${RECORDS_SQL} and observed_on <= $3`, [tx.organisationId, buildIds, day]);

export const stageCostsOfMany = (tx: Tx, buildIds: readonly string[]) =>
  tx.sql<{ build_id: string; code: string; amount: string }>(
    `select build_id, stage_code as code, sum(amount)::text as amount from bill_line
     where organisation_id = $1 and build_id = any($2::uuid[]) group by build_id, stage_code`,
    [tx.organisationId, buildIds],
  );

/** Bill amount of each stage, as decimal text. */
export const stageCosts = (tx: Tx, buildId: string) =>
  tx.sql<{ code: string; amount: string }>(STAGE_COSTS_SQL, [tx.organisationId, buildId]);

export async function insertRecord(
  tx: Tx,
  buildId: string,
  id: string,
  record: Omit<NewStageRecord, 'id'>,
) {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    buildId,
    record.stageCode,
    record.kind,
    record.observedOn,
    record.checkCode ?? null,
    record.measuredValue ?? null,
    record.reason ?? null,
    record.note,
    record.deviceRecordedAt ?? null,
    tx.actor.personId,
    record.crewId ?? null,
    record.peopleCount ?? null,
    record.personHours ?? null,
    record.quantities === undefined ? null : JSON.stringify(record.quantities),
    record.decidesRecordId ?? null,
    record.decision ?? null,
    record.cause ?? null,
    record.dueOn ?? null,
  ]);
}

export interface StoredProgress {
  readonly status: string;
  readonly percentComplete: string;
  readonly currentStageCode: string | null;
  readonly startedOn: string | null;
  readonly handedOverOn: string | null;
}

export async function storeProgress(tx: Tx, buildId: string, progress: StoredProgress) {
  await tx.sql(STORE_PROGRESS_SQL, [
    tx.organisationId,
    buildId,
    progress.status,
    progress.percentComplete,
    progress.currentStageCode,
    progress.startedOn,
    progress.handedOverOn,
  ]);
}
