import type {
  ContributionRecord,
  ContributionWaiver,
} from '../../../shared/contract/contribution.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';

const RECORD_COLUMNS = `
  r.id, r.contribution_id, r.quantity, r.observed_on, r.evidence, r.reverses_id, r.cost_entry_id,
  r.recorded_by_id, r.recorded_at, c.currency, coalesce(e.amount, 0) as amount`;

const RECORDS_FROM = `
  from contribution_record r
    join village_contribution c on c.organisation_id = r.organisation_id and c.id = r.contribution_id
    left join cost_entry e on e.organisation_id = r.organisation_id and e.id = r.cost_entry_id
  where r.organisation_id = $1`;

const LIST_SQL = `
  select ${RECORD_COLUMNS} ${RECORDS_FROM} and r.contribution_id = $2
    and ($3::date is null or (r.observed_on, r.id) > ($3, $4::uuid))
  order by r.observed_on, r.id limit $5`;

const GET_SQL = `select ${RECORD_COLUMNS} ${RECORDS_FROM} and r.id = $2`;

const IS_REVERSED_SQL = `
  select id from contribution_record where organisation_id = $1 and reverses_id = $2`;

const INSERT_SQL = `
  insert into contribution_record (organisation_id, id, contribution_id, quantity, observed_on,
    evidence, reverses_id, cost_entry_id, recorded_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`;

const WAIVER_COLUMNS = `
  id, contribution_id as "contributionId", waived_on as "waivedOn", reason,
  waived_by_id as "waivedById", recorded_at as "recordedAt"`;

const WAIVERS_SQL = `
  select ${WAIVER_COLUMNS} from contribution_waiver
  where organisation_id = $1 and contribution_id = $2 order by recorded_at, id`;

const INSERT_WAIVER_SQL = `
  insert into contribution_waiver (organisation_id, id, contribution_id, waived_on, reason, waived_by_id)
  values ($1, $2, $3, $4, $5, $6) returning ${WAIVER_COLUMNS}`;

interface RecordRow {
  id: string;
  contribution_id: string;
  quantity: string;
  observed_on: string;
  evidence: string;
  reverses_id: string | null;
  cost_entry_id: string | null;
  recorded_by_id: string;
  recorded_at: string;
  currency: string;
  amount: string;
}

export interface RecordToInsert {
  readonly id: string;
  readonly contributionId: string;
  readonly quantity: string;
  readonly observedOn: string;
  readonly evidence: string;
  readonly reversesId: string | null;
  readonly costEntryId: string | null;
}

/** Records of an agreement by day; `limit + 1` of them, to see whether there are more. */
export async function listRecords(
  tx: Tx,
  contributionId: string,
  after: readonly string[] | null,
  limit: number,
): Promise<ContributionRecord[]> {
  const [day = null, id = null] = after ?? [];
  const values = [tx.organisationId, contributionId, day, id, limit + 1];
  return (await tx.sql<RecordRow>(LIST_SQL, values)).map(toWire);
}

export async function findRecord(tx: Tx, id: string): Promise<ContributionRecord | null> {
  const [row] = await tx.sql<RecordRow>(GET_SQL, [tx.organisationId, id]);
  return row ? toWire(row) : null;
}

export async function isRecordReversed(tx: Tx, id: string): Promise<boolean> {
  return (await tx.sql(IS_REVERSED_SQL, [tx.organisationId, id])).length > 0;
}

export async function insertRecord(tx: Tx, record: RecordToInsert): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    record.id,
    record.contributionId,
    record.quantity,
    record.observedOn,
    record.evidence,
    record.reversesId,
    record.costEntryId,
    tx.actor.personId,
  ]);
}

export const listWaivers = (tx: Tx, contributionId: string): Promise<ContributionWaiver[]> =>
  tx.sql<ContributionWaiver>(WAIVERS_SQL, [tx.organisationId, contributionId]);

export async function insertWaiver(
  tx: Tx,
  waiver: { id: string; contributionId: string; waivedOn: string; reason: string },
): Promise<ContributionWaiver> {
  const [row] = await tx.sql<ContributionWaiver>(INSERT_WAIVER_SQL, [
    tx.organisationId,
    waiver.id,
    waiver.contributionId,
    waiver.waivedOn,
    waiver.reason,
    tx.actor.personId,
  ]);
  if (!row) throw new Error('The waiver was written and not returned');
  return row;
}

const toWire = (row: RecordRow): ContributionRecord => ({
  id: row.id,
  contributionId: row.contribution_id,
  quantity: quantityText(row.quantity),
  observedOn: row.observed_on,
  evidence: row.evidence,
  value: moneyOf(row.amount, row.currency),
  costEntryId: row.cost_entry_id,
  reversesId: row.reverses_id,
  recordedById: row.recorded_by_id,
  recordedAt: row.recorded_at,
});
