import type {
  SeasonProgressRow,
  ValueCurvePoint,
} from '../../../shared/contract/season-progress.ts';
import type { Column } from '../../http/table-export.ts';

type RowColumn = Column<SeasonProgressRow>;

const amount = (
  header: string,
  of: (row: SeasonProgressRow) => { readonly amount: string } | null,
): RowColumn => ({ header, value: (row) => of(row)?.amount ?? null, isNumber: true });

/** Columns of the rows in a file; amounts in the currency that the first column names. */
export const PROGRESS_COLUMNS: readonly RowColumn[] = [
  { header: 'currency', value: ({ actualCost }) => actualCost.currency },
  { header: 'code', value: ({ code }) => code },
  { header: 'name', value: ({ name }) => name },
  { header: 'builds', value: ({ buildCount }) => buildCount },
  amount('budget_at_completion', (row) => row.budgetAtCompletion),
  amount('planned_value', (row) => row.plannedValue),
  amount('earned_value', (row) => row.earnedValue),
  amount('actual_cost', (row) => row.actualCost),
  amount('schedule_variance', (row) => row.scheduleVariance),
  amount('cost_variance', (row) => row.costVariance),
  { header: 'schedule_performance_index', value: (row) => row.schedulePerformanceIndex },
  { header: 'cost_performance_index', value: (row) => row.costPerformanceIndex },
  { header: 'complete_ratio', value: (row) => row.completeRatio },
  amount('estimate_at_completion', (row) => row.estimateAtCompletion),
  amount('estimate_at_completion_one_off', (row) => row.estimateAtCompletionOneOff),
  amount('estimate_at_completion_both', (row) => row.estimateAtCompletionBoth),
  amount('estimate_to_complete', (row) => row.estimateToComplete),
  amount('variance_at_completion', (row) => row.varianceAtCompletion),
  { header: 'to_complete_performance_index', value: (row) => row.toCompletePerformanceIndex },
  amount('in_kind_budget', ({ inKind }) => inKind.budget),
  amount('in_kind_planned', ({ inKind }) => inKind.planned),
  amount('in_kind_earned', ({ inKind }) => inKind.earned),
  amount('in_kind_contributed', ({ inKind }) => inKind.contributed),
];

type PointColumn = Column<ValueCurvePoint>;

const value = (
  header: string,
  of: (point: ValueCurvePoint) => { readonly amount: string } | null,
): PointColumn => ({ header, value: (point) => of(point)?.amount ?? null, isNumber: true });

export const CURVE_COLUMNS: readonly PointColumn[] = [
  { header: 'on', value: ({ on }) => on },
  { header: 'currency', value: ({ plannedValue }) => plannedValue.currency },
  value('planned_value', (point) => point.plannedValue),
  value('earliest_value', (point) => point.earliestValue),
  value('latest_value', (point) => point.latestValue),
  value('earned_value', (point) => point.earnedValue),
  value('actual_cost', (point) => point.actualCost),
];
