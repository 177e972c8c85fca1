import type {
  ValueCurvePoint,
  ValueCurveRecord,
} from '../../../shared/contract/season-progress.ts';
import {
  type CurveStep,
  curveDays,
  type ValueChange,
  valueCurve,
} from '../../../shared/scheduling/value-curve.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import type { Baseline } from './baseline.ts';
import { costBook } from './cost-book.ts';
import { readCosts } from './cost-repository.ts';
import { datedStages } from './envelope.ts';
import { stageValues } from './stage-value-sql.ts';
import {
  baselineAt,
  baselineRecord,
  costScope,
  type ProgressFilter,
  RULE_TEXTS,
  spanOf,
} from './use-cases.ts';
import { plannedChanges } from './value-repository.ts';

const CURVES_SQL = `
  select c.curve, c.on_day as "on", sum(c.amount) as amount
  from dated d cross join lateral (values
    ('planned', d.starts_on, d.at_start), ('planned', d.finishes_on, d.amount - d.at_start),
    ('earliest', d.early_start, d.at_start), ('earliest', d.early_finish, d.amount - d.at_start),
    ('latest', d.late_start, d.at_start), ('latest', d.late_finish, d.amount - d.at_start)
  ) as c (curve, on_day, amount)
  where c.amount <> 0 group by c.curve, c.on_day`;

/** What accepted and begun work earned, and lost again, on each day until the data date. */
const EARNED_SQL = `
  , worth as (
    select s.since_on, s.until_on, case when s.status = 'accepted' then v.amount else v.at_start end as amount
    from build_stage_standing s
      join stage_value v on v.build_id = s.build_id and v.stage_code = s.stage_code
    where s.organisation_id = $1 and s.since_on <= $3
      and s.status in ('accepted', 'in-progress', 'awaiting-release')
  )
  select on_day as "on", sum(amount) as amount from (
    select since_on as on_day, amount from worth
    union all
    select until_on, -amount from worth where until_on <= $3
  ) c where amount <> 0 group by on_day`;

export interface ValueCurves {
  curve(
    tx: Tx,
    programmeId: string,
    query: ProgressFilter & { readonly step: CurveStep },
  ): Promise<ValueCurveRecord>;
}

/** Planned, earliest, latest and earned value and actual cost over time. */
export function createValueCurves(clock: Clock): ValueCurves {
  return {
    async curve(tx, programmeId, { step, ...filter }) {
      const baseline = await baselineAt(tx, clock, programmeId, filter);
      const { programme, plan, dataOn } = baseline;
      const { currency } = programme;
      const span = spanOf(await plannedChanges(tx, baseline));
      const startsOn = earliest(span.startsOn, plan?.startsOn ?? programme.startsOn);
      const finishesOn = latest(span.finishesOn, plan?.finishesOn ?? startsOn);
      const gained = await earnedChanges(tx, baseline);
      const [firstWorkOn = null] = gained.map(({ on }) => on).sort();
      const steps = curveDays(earliest(firstWorkOn, startsOn), latest(finishesOn, dataOn), step);
      const days = [...new Set([...steps, dataOn])].sort();
      const changes = await plannedCurves(tx, baseline, startsOn, finishesOn);
      const read = (name: string) =>
        valueCurve(
          changes.filter(({ curve }) => curve === name),
          days,
          currency,
        );
      const [planned, early, late] = [read('planned'), read('earliest'), read('latest')];
      const past = days.filter((day) => day <= dataOn);
      const earned = valueCurve(gained, past, currency);
      const scope = costScope(baseline, 'programme', true);
      const book = costBook(await readCosts(tx, scope), scope);
      const costs = past.map((day) => book.until(day).actualCost);
      const nothing = { amount: '0', currency };
      return {
        ...{ programmeId, dataOn, currency, step },
        baseline: baselineRecord(baseline, span),
        earningRule: { code: filter.earningRule, text: RULE_TEXTS[filter.earningRule] },
        points: days.map(
          (on, index): ValueCurvePoint => ({
            on,
            plannedValue: planned[index] ?? nothing,
            earliestValue: early[index] ?? nothing,
            latestValue: late[index] ?? nothing,
            earnedValue: earned[index] ?? null,
            actualCost: costs[index] ?? null,
          }),
        ),
      };
    },
  };
}

async function plannedCurves(
  tx: Tx,
  baseline: Baseline,
  startsOn: string,
  finishesOn: string,
): Promise<(ValueChange & { readonly curve: string })[]> {
  const { text, values } = await datedStages(tx, baseline, startsOn, finishesOn);
  return tx.sql(`with ${text} ${CURVES_SQL}`, values);
}

async function earnedChanges(tx: Tx, baseline: Baseline): Promise<ValueChange[]> {
  const { text, values } = stageValues(tx, baseline);
  return tx.sql<ValueChange>(`with ${text} ${EARNED_SQL}`, values);
}

const earliest = (one: string | null, other: string) => (one !== null && one < other ? one : other);
const latest = (one: string | null, other: string) => (one !== null && one > other ? one : other);
