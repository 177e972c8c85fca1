import type { CostEntry } from '../../../shared/contract/cost-entry.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';

interface CostEntryRow {
  id: string;
  programme_id: string;
  grant_id: string | null;
  budget_line_id: string | null;
  build_id: string | null;
  order_id: string | null;
  state: CostEntry['state'];
  funding: CostEntry['funding'];
  occurred_on: string;
  description: string;
  evidence: string;
  amount: string;
  currency: string;
  grant_amount: string | null;
  grant_currency: string | null;
  rate: string | null;
  rate_on: string | null;
  rate_source: string | null;
  reverses_id: string | null;
  invoice_id: string | null;
  receipt_id: string | null;
  follows_order: boolean;
  recorded_by_id: string;
  recorded_at: string;
}

export interface GrantTerms {
  readonly id: string;
  readonly code: string;
  readonly programme_id: string;
  readonly currency: string;
  readonly rate_policy: 'transaction-date' | 'period-average' | 'fixed';
  readonly starts_on: string;
  readonly ends_on: string;
}

export interface CostEntryFilter {
  readonly programmeId?: string | undefined;
  readonly grantId?: string | undefined;
  readonly buildId?: string | undefined;
  readonly orderId?: string | undefined;
  readonly state?: string | undefined;
  readonly funding?: string | undefined;
}

const LIST_SQL = `
  select * from cost_entry where organisation_id = $1
    and ($3::uuid is null or programme_id = $3) and ($4::uuid is null or grant_id = $4)
    and ($5::uuid is null or build_id = $5) and ($6::uuid is null or order_id = $6)
    and ($7::text is null or state = $7) and ($8::text is null or funding = $8)
    and ($9::date is null or (occurred_on, id) > ($9, $10::uuid))
  order by occurred_on, id limit $2`;

const INSERT_SQL = `
  insert into cost_entry (organisation_id, id, programme_id, grant_id, budget_line_id, build_id, order_id,
    state, funding, occurred_on, description, evidence, amount, currency, grant_amount, grant_currency,
    rate, rate_on, rate_source, reverses_id, recorded_by_id, invoice_id, receipt_id, follows_order)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21,
    $22, $23, $24)
  returning *`;

const GRANT_SQL = `
  select id, code, programme_id, currency, rate_policy, starts_on, ends_on
  from grant_agreement where organisation_id = $1 and id = $2`;

const SHARES_SQL = `
  select grant_id as "grantId", trim_scale(share_ratio)::text as "shareRatio"
  from build_grant_share where organisation_id = $1 and build_id = $2 order by grant_id`;

const FOLLOWING_SQL = `
  select e.*, exists (select from cost_entry r
      where r.organisation_id = e.organisation_id and r.reverses_id = e.id) as is_reversed
  from cost_entry e
  where e.organisation_id = $1 and e.order_id = $2 and e.follows_order and e.reverses_id is null
  order by e.id`;

/** The newest rate on or before a day. */
const RATE_ON_SQL = `
  select rate::text, rate_on, source from exchange_rate
  where organisation_id = $1 and from_currency = $2 and to_currency = $3 and rate_on <= $4
  order by rate_on desc, created_at desc limit 1`;

/** The mean of all rates of the calendar month of a day. */
const RATE_MEAN_SQL = `
  select round(avg(rate), 10)::text as rate, max(rate_on) as rate_on,
    'mean of ' || count(*) || ' rates of ' || to_char($4::date, 'YYYY-MM') as source
  from exchange_rate
  where organisation_id = $1 and from_currency = $2 and to_currency = $3
    and date_trunc('month', rate_on) = date_trunc('month', $4::date)
  having count(*) > 0`;

export interface FoundRate {
  readonly rate: string;
  readonly rate_on: string;
  readonly source: string;
}

function toWire(row: CostEntryRow): CostEntry {
  const hasGrant = row.grant_amount !== null && row.grant_currency !== null;
  return {
    id: row.id,
    programmeId: row.programme_id,
    grantId: row.grant_id,
    budgetLineId: row.budget_line_id,
    buildId: row.build_id,
    orderId: row.order_id,
    state: row.state,
    funding: row.funding,
    occurredOn: row.occurred_on,
    description: row.description,
    evidence: row.evidence,
    amount: moneyOf(row.amount, row.currency),
    grantAmount: hasGrant
      ? moneyOf(row.grant_amount as string, row.grant_currency as string)
      : null,
    exchange:
      row.rate === null || row.rate_on === null || row.rate_source === null
        ? null
        : { rate: quantityText(row.rate), rateOn: row.rate_on, source: row.rate_source },
    reversesId: row.reverses_id,
    invoiceId: row.invoice_id,
    receiptId: row.receipt_id,
    followsOrder: row.follows_order,
    recordedById: row.recorded_by_id,
    recordedAt: row.recorded_at,
  };
}

export async function listCostEntries(
  tx: Tx,
  filter: CostEntryFilter,
  after: readonly string[] | null,
  limit: number,
): Promise<CostEntry[]> {
  const rows = await tx.sql<CostEntryRow>(LIST_SQL, [
    tx.organisationId,
    limit + 1,
    filter.programmeId ?? null,
    filter.grantId ?? null,
    filter.buildId ?? null,
    filter.orderId ?? null,
    filter.state ?? null,
    filter.funding ?? null,
    after?.[0] ?? null,
    after?.[1] ?? null,
  ]);
  return rows.map(toWire);
}

export async function findCostEntry(tx: Tx, id: string): Promise<CostEntry | null> {
  const rows = await tx.sql<CostEntryRow>(
    'select * from cost_entry where organisation_id = $1 and id = $2',
    [tx.organisationId, id],
  );
  return rows[0] ? toWire(rows[0]) : null;
}

/** Entries that follow an order, without reversals; each says whether it was reversed. */
export async function entriesFollowing(
  tx: Tx,
  orderId: string,
): Promise<(CostEntry & { readonly isReversed: boolean })[]> {
  const rows = await tx.sql<CostEntryRow & { is_reversed: boolean }>(FOLLOWING_SQL, [
    tx.organisationId,
    orderId,
  ]);
  return rows.map((row) => ({ ...toWire(row), isReversed: row.is_reversed }));
}

export async function insertCostEntry(
  tx: Tx,
  entry: Omit<CostEntry, 'recordedAt' | 'recordedById'>,
): Promise<CostEntry> {
  const rows = await tx.sql<CostEntryRow>(INSERT_SQL, [
    tx.organisationId,
    entry.id,
    entry.programmeId,
    entry.grantId,
    entry.budgetLineId,
    entry.buildId,
    entry.orderId,
    entry.state,
    entry.funding,
    entry.occurredOn,
    entry.description,
    entry.evidence,
    entry.amount.amount,
    entry.amount.currency,
    entry.grantAmount?.amount ?? null,
    entry.grantAmount?.currency ?? null,
    entry.exchange?.rate ?? null,
    entry.exchange?.rateOn ?? null,
    entry.exchange?.source ?? null,
    entry.reversesId,
    tx.actor.personId,
    entry.invoiceId,
    entry.receiptId,
    entry.followsOrder,
  ]);
  return toWire(rows[0] as CostEntryRow);
}

export async function findGrant(tx: Tx, id: string): Promise<GrantTerms | null> {
  const rows = await tx.sql<GrantTerms>(GRANT_SQL, [tx.organisationId, id]);
  return rows[0] ?? null;
}

export async function isReversed(tx: Tx, id: string): Promise<boolean> {
  const rows = await tx.sql(
    'select 1 from cost_entry where organisation_id = $1 and reverses_id = $2',
    [tx.organisationId, id],
  );
  return rows.length > 0;
}

export async function programmeOfBuild(tx: Tx, buildId: string): Promise<string | null> {
  const rows = await tx.sql<{ programme_id: string }>(
    'select programme_id from build where organisation_id = $1 and id = $2',
    [tx.organisationId, buildId],
  );
  return rows[0]?.programme_id ?? null;
}

export async function budgetLine(
  tx: Tx,
  grantId: string,
  where: { id: string } | { code: string },
) {
  const [column, value] = 'id' in where ? ['id', where.id] : ['code', where.code];
  const rows = await tx.sql<{ id: string }>(
    `select id from budget_line where organisation_id = $1 and grant_id = $2 and ${column}::text = $3`,
    [tx.organisationId, grantId, value],
  );
  return rows[0]?.id ?? null;
}

export const grantSharesOf = (tx: Tx, buildId: string) =>
  tx.sql<{ grantId: string; shareRatio: string }>(SHARES_SQL, [tx.organisationId, buildId]);

/** The rate that the grant's policy means for a day; null when none is on record. */
export async function findRate(
  tx: Tx,
  grant: GrantTerms,
  fromCurrency: string,
  occurredOn: string,
): Promise<FoundRate | null> {
  const isMean = grant.rate_policy === 'period-average';
  const day = grant.rate_policy === 'fixed' ? grant.starts_on : occurredOn;
  const rows = await tx.sql<FoundRate>(isMean ? RATE_MEAN_SQL : RATE_ON_SQL, [
    tx.organisationId,
    fromCurrency,
    grant.currency,
    day,
  ]);
  return rows[0] ?? null;
}
