import { LONG_STAGE_DAYS } from '../../../shared/scheduling/earning-rule.ts';
import type { Tx } from '../../db/database.ts';
import type { Baseline } from './baseline.ts';

/** The start of a statement with its values: `$1` organisation, `$2` programme, `$3` data date. */
export interface SqlStart {
  readonly text: string;
  readonly values: unknown[];
}

const BILL_SUMS = `
  coalesce(sum(l.amount) filter (where not l.is_in_kind), 0) as amount,
  coalesce(sum(l.amount) filter (where l.is_in_kind), 0) as in_kind_amount`;

/** A statement that needs neither programme nor day must still give their types. */
const BOTH_KNOWN = '$2::uuid is not null and $3::date is not null';

/** Amounts as frozen, dates as planned. */
const FROZEN = `
  select v.build_id, v.stage_code, v.amount, v.in_kind_amount, s.starts_on, s.finishes_on,
    s.standing
  from season_plan_value v
    left join season_plan_stage s on s.organisation_id = $1 and s.season_plan_id = $4
      and s.build_id = v.build_id and s.stage_code = v.stage_code
  where v.organisation_id = $1 and v.season_plan_id = $4 and ${BOTH_KNOWN}`;

/** Plans of which no amounts were kept: the bills of their builds as they are. */
const PLANNED_WITH_BILLS = `
  select v.build_id, v.stage_code, v.amount, v.in_kind_amount, s.starts_on, s.finishes_on,
    s.standing
  from (
    select l.build_id, l.stage_code, ${BILL_SUMS}
    from (select distinct build_id from season_plan_stage
        where organisation_id = $1 and season_plan_id = $4 and ${BOTH_KNOWN}) p
      join bill_line l on l.organisation_id = $1 and l.build_id = p.build_id
    group by l.build_id, l.stage_code
  ) v
    left join season_plan_stage s on s.organisation_id = $1 and s.season_plan_id = $4
      and s.build_id = v.build_id and s.stage_code = v.stage_code`;

const PLANNED_STARTS = `
  select v.build_id, v.stage_code, v.amount, v.in_kind_amount, d.starts_on, d.finishes_on,
    'planned'::text as standing
  from (
    select l.build_id, l.stage_code, ${BILL_SUMS}
    from build b join bill_line l on l.organisation_id = $1 and l.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2
      and (b.cancelled_on is null or b.cancelled_on > $3)
    group by l.build_id, l.stage_code
  ) v
    join build b on b.organisation_id = $1 and b.id = v.build_id
    left join unnest($4::uuid[], $5::date[], $6::text[], $7::date[], $8::date[])
      as d (kind_id, start_on, stage_code, starts_on, finishes_on)
      on d.kind_id = b.tank_kind_id and d.start_on = coalesce(b.planned_start_on, b.started_on)
        and d.stage_code = v.stage_code`;

/**
 * `stage_value`: every stage of the baseline with its amounts, its planned dates, and what of each
 * amount is earned at the start: nothing, or by length half of it, an odd minor unit with it.
 */
export function stageValues(tx: Tx, baseline: Baseline): SqlStart {
  const { programme, plan, plannedStages, dataOn, rule, templates, minorUnits } = baseline;
  const values: unknown[] = [tx.organisationId, programme.id, dataOn];
  let source: string;
  if (plan) {
    source = plan.isFrozen ? FROZEN : PLANNED_WITH_BILLS;
    values.push(plan.id);
  } else {
    const columns = plannedStages;
    source = PLANNED_STARTS;
    values.push(columns?.kindIds, columns?.starts, columns?.stageCodes);
    values.push(columns?.startsOn, columns?.finishesOn);
  }
  if (rule === '0-100') {
    const text = `stage_value as (
      select t.*, 0::numeric as at_start, 0::numeric as in_kind_at_start from (${source}) t)`;
    return { text, values };
  }
  const waits = [...templates].flatMap(([kindId, stages]) =>
    stages.map(({ code, minimumWaitDays }) => ({ kindId, code, minimumWaitDays })),
  );
  const at = values.length;
  values.push(
    waits.map(({ kindId }) => kindId),
    waits.map(({ code }) => code),
    waits.map(({ minimumWaitDays }) => minimumWaitDays),
  );
  const half = (column: string) => `
    case when t.finishes_on - t.starts_on + 1 + coalesce(w.wait_days, 0) >= ${LONG_STAGE_DAYS}
      then ceil(t.${column} * ${minorUnits} / 2) / ${minorUnits} else 0 end`;
  const text = `stage_value as (
    select t.*, ${half('amount')} as at_start, ${half('in_kind_amount')} as in_kind_at_start
    from (${source}) t
      join build k on k.organisation_id = $1 and k.id = t.build_id
      left join unnest($${at + 1}::uuid[], $${at + 2}::text[], $${at + 3}::integer[])
        as w (kind_id, stage_code, wait_days)
        on w.kind_id = k.tank_kind_id and w.stage_code = t.stage_code)`;
  return { text, values };
}

/** `standing`: how stages stood at the end of the data date, as far as it earns anything. */
export const STANDINGS = `
  standing as (
    select build_id, stage_code, status from build_stage_standing
    where organisation_id = $1 and since_on <= $3 and (until_on is null or until_on > $3)
      and status in ('accepted', 'in-progress', 'awaiting-release')
  )`;

const planned = (amount: string, atStart: string) => `
  coalesce(sum(case when v.finishes_on <= $3 then v.${amount}
    when v.starts_on <= $3 then v.${atStart} end), 0)`;

const earned = (amount: string, atStart: string) => `
  coalesce(sum(case when t.status = 'accepted' then v.${amount}
    when t.status is not null then v.${atStart} end), 0)`;

/** `build_value`: the sums of each build of the baseline at the data date. */
export const BUILD_VALUES = `
  build_value as (
    select v.build_id, sum(v.amount) as bac, sum(v.in_kind_amount) as in_kind_bac,
      ${planned('amount', 'at_start')} as pv, ${earned('amount', 'at_start')} as ev,
      ${planned('in_kind_amount', 'in_kind_at_start')} as in_kind_pv,
      ${earned('in_kind_amount', 'in_kind_at_start')} as in_kind_ev,
      coalesce(sum(v.amount) filter (where v.finishes_on is null), 0) as undated,
      coalesce(sum(case when t.status = 'accepted' then v.amount when t.status is not null then v.at_start end)
        filter (where v.finishes_on is not null), 0) as dated_ev
    from stage_value v
      left join standing t on t.build_id = v.build_id and t.stage_code = v.stage_code
    group by v.build_id
  )`;
