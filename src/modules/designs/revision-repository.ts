import type {
  ApprovalState,
  DesignDecision,
  DesignRevision,
  DesignRevisionSummary,
} from '../../../shared/contract/design-revision.ts';
import type { Tx } from '../../db/database.ts';
import type { DecidedRevision, RevisionStore } from './revision-use-cases.ts';

const SUMMARY_COLUMNS = `
  r.id, r.design_id as "designId", d.code as "designCode", d.name as "designName",
  d.tank_kind_id as "tankKindId", r.revision_number as "revisionNumber",
  r.engine_version as "engineVersion", r.outcome, r.capacity_l as "capacityL",
  coalesce(a.decision, 'undecided') as approval, r.created_by_id as "createdById",
  r.created_at as "createdAt"`;

const FROM_SQL = `
  from design_revision r
    join tank_design d on d.organisation_id = r.organisation_id and d.id = r.design_id
    left join design_approval a
      on a.organisation_id = r.organisation_id and a.design_revision_id = r.id`;

const LIST_SQL = `
  select ${SUMMARY_COLUMNS} ${FROM_SQL}
  where r.organisation_id = $1 and ($2::uuid is null or r.design_id = $2)
    and ($3::text is null or coalesce(a.decision, 'undecided') = $3)
    and ($4::text is null or (d.code, r.revision_number) > ($4, $5::integer))
  order by d.code, r.revision_number limit $6`;

const READ_SQL = `
  select ${SUMMARY_COLUMNS}, r.input, r.result, r.take_off as "takeOff" ${FROM_SQL}
  where r.organisation_id = $1 and r.id = $2`;

const DECISIONS_SQL = `
  select id, design_revision_id as "designRevisionId", decision, engineer_id as "engineerId",
    engineer_name as "engineerName", registration_number as "registrationNumber", remarks,
    decided_at as "decidedAt"
  from design_decision where organisation_id = $1 and design_revision_id = $2
  order by decided_at, id`;

const INSERT_SQL = `
  insert into design_revision (organisation_id, id, design_id, revision_number, engine_version, input,
    result, take_off, outcome, capacity_l, created_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`;

/** One decision at a time for each revision, and none while a build is made on it. */
const LOCK_DECISIONS_SQL = `select pg_advisory_xact_lock(hashtextextended('design-approval:' || $1, 0))`;

const DECIDED_SQL = `
  select r.outcome, r.created_by_id as "createdById", coalesce(a.decision, 'undecided') as approval
  ${FROM_SQL} where r.organisation_id = $1 and r.id = $2`;

const ENGINEER_SQL = `
  select name, engineer_registration_number as "registrationNumber" from person
  where organisation_id = $1 and id = $2`;

const DECIDE_SQL = `
  insert into design_decision (organisation_id, id, design_revision_id, decision, engineer_id,
    engineer_name, registration_number, remarks)
  values ($1, $2, $3, $4, $5, $6, $7, $8)
  returning id, design_revision_id as "designRevisionId", decision, engineer_id as "engineerId",
    engineer_name as "engineerName", registration_number as "registrationNumber", remarks,
    decided_at as "decidedAt"`;

const APPROVALS_SQL = `
  select r.id, coalesce(a.decision, 'undecided') as approval ${FROM_SQL}
  where r.organisation_id = $1 and r.id = any($2)`;

const one = async <Row>(tx: Tx, sql: string, values: unknown[]): Promise<Row | null> =>
  (await tx.sql<Row>(sql, [tx.organisationId, ...values]))[0] ?? null;

export const revisionStore: RevisionStore = {
  async list(tx, { designId, approval }, after, limit) {
    const [code = null, number = null] = after ?? [];
    const filter = [designId ?? null, approval ?? null];
    return tx.sql<DesignRevisionSummary>(LIST_SQL, [
      tx.organisationId,
      ...filter,
      code,
      number,
      limit + 1,
    ]);
  },
  async read(tx, id) {
    const found = await one<Omit<DesignRevision, 'decisions'>>(tx, READ_SQL, [id]);
    if (!found) return null;
    return { ...found, decisions: await this.decisions(tx, id) };
  },
  decisions: (tx, id) => tx.sql<DesignDecision>(DECISIONS_SQL, [tx.organisationId, id]),
  async insert(tx, revision) {
    await tx.sql(INSERT_SQL, [
      tx.organisationId,
      revision.id,
      revision.designId,
      revision.revisionNumber,
      revision.engineVersion,
      JSON.stringify(revision.input),
      JSON.stringify(revision.result),
      JSON.stringify(revision.takeOff),
      revision.result.outcome,
      revision.result.capacityL,
      tx.actor.personId,
    ]);
  },
  async lockForDecision(tx, id) {
    await tx.sql(LOCK_DECISIONS_SQL, [id]);
    return one<DecidedRevision>(tx, DECIDED_SQL, [id]);
  },
  engineer: (tx) => one(tx, ENGINEER_SQL, [tx.actor.personId]),
  async decide(tx, id, revisionId, decision, engineer, remarks) {
    const made = await one<DesignDecision>(tx, DECIDE_SQL, [
      id,
      revisionId,
      decision,
      tx.actor.personId,
      engineer.name,
      engineer.registrationNumber,
      remarks,
    ]);
    return made as DesignDecision;
  },
  async approvals(tx, ids) {
    const rows = await tx.sql<{ id: string; approval: ApprovalState }>(APPROVALS_SQL, [
      tx.organisationId,
      ids,
    ]);
    return new Map(rows.map((row) => [row.id, row.approval]));
  },
};
