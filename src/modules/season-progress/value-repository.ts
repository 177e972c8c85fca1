import Big from 'big.js';
import type { ValueChange } from '../../../shared/scheduling/value-curve.ts';
import type { Tx } from '../../db/database.ts';
import type { Baseline } from './baseline.ts';
import { BUILD_VALUES, STANDINGS, stageValues } from './stage-value-sql.ts';

/** Sums of some builds at the data date, as decimal text. */
export interface ValueRow {
  readonly buildCount: number;
  readonly bac: string;
  readonly pv: string;
  readonly ev: string;
  readonly inKindBac: string;
  readonly inKindPv: string;
  readonly inKindEv: string;
}

/** With what has no date, and with how the bills of now lead to the budget. */
export interface TotalRow extends ValueRow {
  readonly undatedCount: number;
  readonly undated: string;
  readonly datedEv: string;
  readonly billsNow: string;
  readonly outside: string;
  readonly outsideCount: number;
  readonly cancelled: string;
  readonly cancelledCount: number;
  readonly repriced: string;
}

export interface GroupRow extends ValueRow {
  readonly id: string | null;
  readonly code: string | null;
  readonly name: string | null;
}

/**
 * Builds that are alike in their sums and shares, together, and what each of them sums to: null for
 * builds outside the baseline. Shares are null for builds that no grant pays for.
 */
export interface SharedRow extends TotalRow {
  /** grant id, a space and its share, with commas between. */
  readonly shares: string | null;
  readonly eachBac: string | null;
  readonly eachPv: string | null;
  readonly eachEv: string | null;
  readonly eachInKindBac: string | null;
  readonly eachInKindPv: string | null;
  readonly eachInKindEv: string | null;
}

export interface Paging {
  readonly limit: number;
  readonly after: readonly string[] | null;
}

const SUMS = `
  count(v.build_id) as "buildCount", coalesce(sum(v.bac), 0) as bac, coalesce(sum(v.pv), 0) as pv,
  coalesce(sum(v.ev), 0) as ev, coalesce(sum(v.in_kind_bac), 0) as "inKindBac",
  coalesce(sum(v.in_kind_pv), 0) as "inKindPv", coalesce(sum(v.in_kind_ev), 0) as "inKindEv"`;

const TOTALS = `
  ${SUMS}, count(*) filter (where v.undated > 0) as "undatedCount",
  coalesce(sum(v.undated), 0) as undated, coalesce(sum(v.dated_ev), 0) as "datedEv",
  coalesce(sum(l.amount) filter (where b.is_live), 0) as "billsNow",
  coalesce(sum(l.amount) filter (where b.is_live and v.build_id is null), 0) as outside,
  count(*) filter (where b.is_live and v.build_id is null) as "outsideCount",
  coalesce(sum(v.bac) filter (where not b.is_live), 0) as cancelled,
  count(*) filter (where not b.is_live and v.build_id is not null) as "cancelledCount",
  coalesce(sum(v.bac - coalesce(l.amount, 0)) filter (where b.is_live and v.build_id is not null), 0) as repriced`;

/** Every build of the programme with its values, if any, and its bill of now. */
const BUILDS = `
  (select id, village_id, crew_id, cancelled_on is null or cancelled_on > $3 as is_live
    from build where organisation_id = $1 and programme_id = $2) b
  left join build_value v on v.build_id = b.id
  left join bill l on l.build_id = b.id`;

const BILLS = `
  bill as (
    select l.build_id, sum(l.amount) as amount
    from build b join bill_line l on l.organisation_id = $1 and l.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2 and not l.is_in_kind
    group by l.build_id
  )`;

const TOTAL = `, ${BILLS} select ${TOTALS} from ${BUILDS}`;

const GROUPS = {
  village: `, ${BILLS}
    select g.id, g.code, g.name, ${TOTALS}
    from ${BUILDS} join village g on g.organisation_id = $1 and g.id = b.village_id
    group by g.id, g.code, g.name order by g.code, g.id`,
  crew: `, ${BILLS}
    select g.id, g.code, g.name, ${TOTALS}
    from ${BUILDS} left join crew g on g.organisation_id = $1 and g.id = b.crew_id
    group by g.id, g.code, g.name order by g.code nulls last, g.id`,
} as const;

const builds = (at: number) => `
  select b.id, b.code, w.name, ${SUMS}
  from build b join village w on w.organisation_id = $1 and w.id = b.village_id
    left join build_value v on v.build_id = b.id
  where b.organisation_id = $1 and b.programme_id = $2
    and ($${at}::text is null or (b.code, b.id) > ($${at}, $${at + 1}::uuid))
  group by b.id, b.code, w.name order by b.code, b.id limit $${at + 2}`;

const SHARED = `, ${BILLS}
  select s.shares, v.bac as "eachBac", v.pv as "eachPv", v.ev as "eachEv", v.in_kind_bac as "eachInKindBac",
    v.in_kind_pv as "eachInKindPv", v.in_kind_ev as "eachInKindEv", ${TOTALS}
  from ${BUILDS}
    left join (
      select g.build_id, string_agg(g.grant_id || ' ' || trim_scale(g.share_ratio), ',' order by g.grant_id) as shares
      from build_grant_share g join build b on b.organisation_id = $1 and b.id = g.build_id
      where g.organisation_id = $1 and b.programme_id = $2 group by g.build_id
    ) s on s.build_id = b.id
  group by s.shares, v.bac, v.pv, v.ev, v.in_kind_bac, v.in_kind_pv, v.in_kind_ev`;

const GRANTS_SQL = `
  select id, code, title as name from grant_agreement
  where organisation_id = $1 and programme_id = $2 order by code, id`;

/** Every day on which a stage begins or ends, and what is earned on it. */
const PLANNED_CHANGES = `
  select c.on_day as "on", sum(c.amount) as amount
  from stage_value v
    cross join lateral (values (v.starts_on, v.at_start), (v.finishes_on, v.amount - v.at_start)) as c (on_day, amount)
  where v.finishes_on is not null
  group by c.on_day order by c.on_day`;

const withValues = (text: string, select: string) =>
  `with ${text}, ${STANDINGS}, ${BUILD_VALUES} ${select}`;

export async function totalValue(tx: Tx, baseline: Baseline): Promise<TotalRow> {
  const { text, values } = stageValues(tx, baseline);
  const [row] = await tx.sql<TotalRow>(withValues(text, TOTAL), values);
  if (!row) throw new Error('A sum over no rows still answers one row');
  return row;
}

/** Sums by village or crew, all of them. */
export async function valuesByGroup(
  tx: Tx,
  baseline: Baseline,
  by: keyof typeof GROUPS,
): Promise<(GroupRow & TotalRow)[]> {
  const { text, values } = stageValues(tx, baseline);
  return tx.sql<GroupRow & TotalRow>(withValues(text, GROUPS[by]), values);
}

const COUNTS = ['buildCount', 'undatedCount', 'outsideCount', 'cancelledCount'] as const;
const AMOUNTS = [
  ...(['bac', 'pv', 'ev', 'inKindBac', 'inKindPv', 'inKindEv'] as const),
  ...(['undated', 'datedEv', 'billsNow', 'outside', 'cancelled', 'repriced'] as const),
];

/** All groups in one: they part the builds of the programme. */
export function totalOf(groups: readonly TotalRow[]): TotalRow {
  const counts = COUNTS.map((field) => [
    field,
    groups.reduce((sum, group) => sum + group[field], 0),
  ]);
  const amounts = AMOUNTS.map((field) => [
    field,
    groups.reduce((sum, group) => sum.plus(group[field]), new Big(0)).toFixed(),
  ]);
  return Object.fromEntries([...counts, ...amounts]) as unknown as TotalRow;
}

/** Sums of builds by their code: up to `limit + 1` after the given key. */
export async function valuesOfBuilds(
  tx: Tx,
  baseline: Baseline,
  { limit, after }: Paging,
): Promise<GroupRow[]> {
  const { text, values } = stageValues(tx, baseline);
  const paged = [...values, after?.[0] ?? null, after?.[1] ?? null, limit + 1];
  return tx.sql<GroupRow>(withValues(text, builds(values.length + 1)), paged);
}

export async function sharedValues(tx: Tx, baseline: Baseline): Promise<SharedRow[]> {
  const { text, values } = stageValues(tx, baseline);
  return tx.sql<SharedRow>(withValues(text, SHARED), values);
}

export const grantsOfProgramme = (tx: Tx, programmeId: string) =>
  tx.sql<{ id: string; code: string; name: string }>(GRANTS_SQL, [tx.organisationId, programmeId]);

/** What the baseline earns on each of its days, days without any change of value with it. */
export async function plannedChanges(tx: Tx, baseline: Baseline): Promise<ValueChange[]> {
  const { text, values } = stageValues(tx, baseline);
  return tx.sql<ValueChange>(`with ${text} ${PLANNED_CHANGES}`, values);
}
