import type { ProgressGrouping } from '../../../shared/contract/season-progress.ts';
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

export interface GroupRow extends ValueRow {
  readonly id: string | null;
  readonly code: string | null;
  readonly name: string | null;
}

export interface TotalRow extends ValueRow {
  readonly undatedCount: number;
  readonly undated: string;
  readonly datedEv: string;
}

/** Equal sums of builds with equal shares, counted; shares are null for builds that no grant pays for. */
export interface SharedRow extends ValueRow {
  /** grant id, a space and its share, with commas between. */
  readonly shares: string | null;
}

export interface BillsRow {
  readonly billsNow: string;
  readonly outside: string;
  readonly outsideCount: number;
  readonly cancelled: string;
  readonly cancelledCount: number;
  readonly repriced: string;
}

export interface Paging {
  readonly limit: number;
  readonly after: readonly string[] | null;
}

const SUMS = `
  count(v.build_id) as "buildCount", coalesce(sum(v.bac), 0) as bac, coalesce(sum(v.pv), 0) as pv,
  coalesce(sum(v.ev), 0) as ev, coalesce(sum(v.in_kind_bac), 0) as "inKindBac",
  coalesce(sum(v.in_kind_pv), 0) as "inKindPv", coalesce(sum(v.in_kind_ev), 0) as "inKindEv"`;

const TOTAL = `
  select ${SUMS}, count(*) filter (where v.undated > 0) as "undatedCount",
    coalesce(sum(v.undated), 0) as undated, coalesce(sum(v.dated_ev), 0) as "datedEv"
  from build_value v`;

const GROUPS = {
  village: `
    select g.id, g.code, g.name, ${SUMS}
    from build b join village g on g.organisation_id = $1 and g.id = b.village_id
      left join build_value v on v.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2
    group by g.id, g.code, g.name order by g.code, g.id`,
  crew: `
    select g.id, g.code, g.name, ${SUMS}
    from build b left join crew g on g.organisation_id = $1 and g.id = b.crew_id
      left join build_value v on v.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2
    group by g.id, g.code, g.name order by g.code nulls last, g.id`,
} as const;

const builds = (at: number) => `
  select b.id, b.code, w.name, ${SUMS}
  from build b join village w on w.organisation_id = $1 and w.id = b.village_id
    left join build_value v on v.build_id = b.id
  where b.organisation_id = $1 and b.programme_id = $2
    and ($${at}::text is null or (b.code, b.id) > ($${at}, $${at + 1}::uuid))
  group by b.id, b.code, w.name order by b.code, b.id limit $${at + 2}`;

const SHARED = `
  select s.shares, count(*) as "buildCount", v.bac, v.pv, v.ev, v.in_kind_bac as "inKindBac",
    v.in_kind_pv as "inKindPv", v.in_kind_ev as "inKindEv"
  from build_value v
    left join (
      select build_id, string_agg(grant_id || ' ' || trim_scale(share_ratio), ',' order by grant_id) as shares
      from build_grant_share where organisation_id = $1 group by build_id
    ) s on s.build_id = v.build_id
  group by s.shares, v.bac, v.pv, v.ev, v.in_kind_bac, v.in_kind_pv, v.in_kind_ev`;

const GRANTS_SQL = `
  select id, code, title as name from grant_agreement
  where organisation_id = $1 and programme_id = $2 order by code, id`;

const BILLS = `
  , known as (select build_id, sum(amount) as bac from stage_value group by build_id),
  line as (
    select l.build_id, sum(l.amount) as amount
    from build b join bill_line l on l.organisation_id = $1 and l.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2 and not l.is_in_kind group by l.build_id
  ),
  bill as (
    select b.id, b.cancelled_on is null or b.cancelled_on > $3 as is_live, k.bac,
      coalesce(l.amount, 0) as amount
    from build b
      left join known k on k.build_id = b.id
      left join line l on l.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2
  )
  select coalesce(sum(amount) filter (where is_live), 0) as "billsNow",
    coalesce(sum(amount) filter (where is_live and bac is null), 0) as outside,
    count(*) filter (where is_live and bac is null) as "outsideCount",
    coalesce(sum(bac) filter (where not is_live), 0) as cancelled,
    count(*) filter (where not is_live and bac is not null) as "cancelledCount",
    coalesce(sum(bac - amount) filter (where is_live and bac is not null), 0) as repriced
  from bill`;

const PLANNED_CHANGES = `
  select on_day as "on", sum(amount) as amount from (
    select finishes_on as on_day, amount - at_start as amount from stage_value where finishes_on is not null
    union all
    select starts_on, at_start from stage_value where finishes_on is not null and at_start > 0
  ) c group by on_day order by on_day`;

const SPAN = `
  select min(starts_on) as "startsOn", max(finishes_on) as "finishesOn" from stage_value`;

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
): Promise<GroupRow[]> {
  const { text, values } = stageValues(tx, baseline);
  return tx.sql<GroupRow>(withValues(text, GROUPS[by]), values);
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

/** How the bills of now lead to the budget of the baseline. */
export async function billsAndBudget(tx: Tx, baseline: Baseline): Promise<BillsRow> {
  const { text, values } = stageValues(tx, baseline);
  const [row] = await tx.sql<BillsRow>(`with ${text} ${BILLS}`, values);
  if (!row) throw new Error('A sum over no rows still answers one row');
  return row;
}

/** What the baseline earns on each day. */
export async function plannedChanges(tx: Tx, baseline: Baseline): Promise<ValueChange[]> {
  const { text, values } = stageValues(tx, baseline);
  return tx.sql<ValueChange>(`with ${text} ${PLANNED_CHANGES}`, values);
}

export async function spanOfBaseline(tx: Tx, baseline: Baseline) {
  const { text, values } = stageValues(tx, baseline);
  const [row] = await tx.sql<{ startsOn: string | null; finishesOn: string | null }>(
    `with ${text} ${SPAN}`,
    values,
  );
  return row ?? { startsOn: null, finishesOn: null };
}

export type GroupedBy = Exclude<ProgressGrouping, 'programme'>;
