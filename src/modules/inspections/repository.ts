import type { CorrectiveAction, Inspection } from '../../../shared/contract/inspection.ts';
import type { Tx } from '../../db/database.ts';

export type InspectionRow = Omit<Inspection, 'findings' | 'sanitaryRisks' | 'cautions'>;
export type FindingRow = Omit<Inspection['findings'][number], 'actions'> & { inspectionId: string };

const INSPECTION_COLUMNS = `
  i.id, i.build_id as "buildId", i.kind, i.inspected_on as "inspectedOn", i.inspector_id as "inspectorId",
  i.condition, i.water_depth_m as "waterDepthM", i.sanitary_answers as "sanitaryAnswers", i.note,
  i.recorded_at as "recordedAt"`;

const LIST_SQL = `
  select ${INSPECTION_COLUMNS} from inspection i
    join build b on b.organisation_id = i.organisation_id and b.id = i.build_id
  where i.organisation_id = $1
    and ($3::uuid is null or i.build_id = $3) and ($4::uuid is null or b.programme_id = $4)
    and ($5::text is null or i.condition = $5)
    and ($6::date is null or (i.inspected_on, i.id) < ($6, $7::uuid))
  order by i.inspected_on desc, i.id desc limit $2`;

const FINDINGS_SQL = `
  select id, inspection_id as "inspectionId", part, severity, description,
    measured_value as "measuredValue", measured_unit as "measuredUnit"
  from finding where organisation_id = $1 and inspection_id = any($2::uuid[]) order by id`;

const ACTION_COLUMNS = `
  a.id, a.finding_id as "findingId", f.inspection_id as "inspectionId", i.build_id as "buildId",
  b.code as "buildCode", a.description, a.due_on as "dueOn", a.assigned_to_id as "assignedToId",
  a.closed_on as "closedOn", a.closed_by_id as "closedById", a.closing_note as "closingNote"
  from corrective_action a
    join finding f on f.organisation_id = a.organisation_id and f.id = a.finding_id
    join inspection i on i.organisation_id = f.organisation_id and i.id = f.inspection_id
    join build b on b.organisation_id = i.organisation_id and b.id = i.build_id
  where a.organisation_id = $1`;

const ACTIONS_OF_SQL = `select ${ACTION_COLUMNS} and f.inspection_id = any($2::uuid[]) order by a.due_on, a.id`;
const ACTION_SQL = `select ${ACTION_COLUMNS} and a.id = $2`;
const LIST_ACTIONS_SQL = `
  select ${ACTION_COLUMNS}
    and ($3::boolean is null or (a.closed_on is null) = $3) and ($4::date is null or a.due_on <= $4)
    and ($5::uuid is null or i.build_id = $5) and ($6::uuid is null or b.programme_id = $6)
    and ($7::date is null or (a.due_on, a.id) > ($7, $8::uuid))
  order by a.due_on, a.id limit $2`;

const BUILD_SQL = `select handed_over_on from build where organisation_id = $1 and id = $2`;

const INSERT_INSPECTION_SQL = `
  insert into inspection (organisation_id, id, build_id, kind, inspected_on, inspector_id, condition,
    water_depth_m, sanitary_answers, note)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`;
const INSERT_FINDING_SQL = `
  insert into finding (organisation_id, id, inspection_id, part, severity, description, measured_value, measured_unit)
  values ($1, $2, $3, $4, $5, $6, $7, $8)`;
const INSERT_ACTION_SQL = `
  insert into corrective_action (organisation_id, id, finding_id, description, due_on, assigned_to_id)
  values ($1, $2, $3, $4, $5, $6)`;
const CLOSE_ACTION_SQL = `
  update corrective_action set closed_on = $3, closing_note = $4, closed_by_id = $5,
    version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2 and closed_on is null`;

export interface InspectionFilter {
  readonly buildId?: string | undefined;
  readonly programmeId?: string | undefined;
  readonly condition?: string | undefined;
}

export interface ActionFilter {
  readonly isOpen?: boolean | undefined;
  readonly dueBy?: string | undefined;
  readonly buildId?: string | undefined;
  readonly programmeId?: string | undefined;
}

/** When the build was handed over; null row when there is no such build. */
export async function findBuild(tx: Tx, buildId: string) {
  const rows = await tx.sql<{ handed_over_on: string | null }>(BUILD_SQL, [
    tx.organisationId,
    buildId,
  ]);
  return rows[0] ?? null;
}

export const listInspections = (
  tx: Tx,
  filter: InspectionFilter,
  after: readonly string[] | null,
  limit: number,
) =>
  tx.sql<InspectionRow>(LIST_SQL, [
    tx.organisationId,
    limit + 1,
    filter.buildId ?? null,
    filter.programmeId ?? null,
    filter.condition ?? null,
    after?.[0] ?? null,
    after?.[1] ?? null,
  ]);

export async function findInspection(tx: Tx, id: string): Promise<InspectionRow | null> {
  const rows = await tx.sql<InspectionRow>(
    `select ${INSPECTION_COLUMNS} from inspection i where i.organisation_id = $1 and i.id = $2`,
    [tx.organisationId, id],
  );
  return rows[0] ?? null;
}

export const findingsOf = (tx: Tx, inspectionIds: readonly string[]) =>
  tx.sql<FindingRow>(FINDINGS_SQL, [tx.organisationId, inspectionIds]);

export const actionsOf = (tx: Tx, inspectionIds: readonly string[]) =>
  tx.sql<CorrectiveAction>(ACTIONS_OF_SQL, [tx.organisationId, inspectionIds]);

export async function findAction(tx: Tx, id: string): Promise<CorrectiveAction | null> {
  const rows = await tx.sql<CorrectiveAction>(ACTION_SQL, [tx.organisationId, id]);
  return rows[0] ?? null;
}

export const listActions = (
  tx: Tx,
  filter: ActionFilter,
  after: readonly string[] | null,
  limit: number,
) =>
  tx.sql<CorrectiveAction>(LIST_ACTIONS_SQL, [
    tx.organisationId,
    limit + 1,
    filter.isOpen ?? null,
    filter.dueBy ?? null,
    filter.buildId ?? null,
    filter.programmeId ?? null,
    after?.[0] ?? null,
    after?.[1] ?? null,
  ]);

export const insertInspection = (tx: Tx, values: readonly unknown[]) =>
  tx.sql(INSERT_INSPECTION_SQL, [tx.organisationId, ...values]);
export const insertFinding = (tx: Tx, values: readonly unknown[]) =>
  tx.sql(INSERT_FINDING_SQL, [tx.organisationId, ...values]);
export const insertAction = (tx: Tx, values: readonly unknown[]) =>
  tx.sql(INSERT_ACTION_SQL, [tx.organisationId, ...values]);

/** Closes an open action; an action that is closed already stays as it is. */
export const closeAction = (tx: Tx, id: string, closedOn: string, closingNote: string) =>
  tx.sql(CLOSE_ACTION_SQL, [tx.organisationId, id, closedOn, closingNote, tx.actor.personId]);
