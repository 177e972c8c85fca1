import type {
  ProgressGrouping,
  SeasonProgress,
  SeasonProgressRow,
} from '../../../shared/contract/season-progress.ts';
import { earnedScheduleInWeeks } from '../../../shared/scheduling/earned-schedule-weeks.ts';
import type { ValueChange } from '../../../shared/scheduling/value-curve.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf } from '../../db/wire-values.ts';
import type { Clock } from '../../domain/clock.ts';
import { notFound } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import {
  type Baseline,
  type EarningRuleChoice,
  findProgrammeOfProgress,
  readBaseline,
} from './baseline.ts';
import { type CostStanding, costBook } from './cost-book.ts';
import { accruedAndPaid, type CostScope, otherCurrencies, readCosts } from './cost-repository.ts';
import { valuesOfGrants } from './grant-values.ts';
import { keepMissingStandings } from './missing-standings.ts';
import { grantRows, progressRow, standingOf } from './progress-rows.ts';
import { budgetReconciled, costsReconciled } from './reconciliation.ts';
import {
  type GroupRow,
  grantsOfProgramme,
  type Paging,
  plannedChanges,
  sharedValues,
  type TotalRow,
  totalOf,
  totalValue,
  valuesByGroup,
  valuesOfBuilds,
} from './value-repository.ts';

export const RULE_TEXTS: Readonly<Record<EarningRuleChoice, string>> = {
  '0-100':
    '0/100: a stage earns all when it is accepted, nothing before; rejected work earns nothing again',
  'by-length':
    '0/100 for stages planned to last under a week, waits counted; 50/50 for longer ones: half when started, half when accepted; rejected work earns nothing again',
};

const CAUTIONS = [
  'Earned value says what accepted work was to cost, not how good it is: a tank counts as good when its tests say so.',
  'Costs are counted when they are accrued or paid; goods in stores, on the road or paid and not yet come are kept apart.',
];

export interface ProgressFilter {
  readonly dataDate?: string | undefined;
  readonly earningRule: EarningRuleChoice;
}

export interface SeasonProgressReads {
  progress(
    tx: Tx,
    programmeId: string,
    query: ProgressFilter & {
      readonly by: ProgressGrouping;
      readonly limit: number;
      readonly cursor?: string | undefined;
    },
  ): Promise<SeasonProgress>;
  /** All rows, for a file. */
  rows(
    tx: Tx,
    programmeId: string,
    query: ProgressFilter & { readonly by: ProgressGrouping },
  ): Promise<SeasonProgressRow[]>;
}

/** Rows that a file may have. */
const MOST_ROWS = 50_000;

export function createSeasonProgress(clock: Clock): SeasonProgressReads {
  return {
    async progress(tx, programmeId, { by, limit, cursor, ...filter }) {
      const baseline = await baselineAt(tx, clock, programmeId, filter);
      const { programme, dataOn } = baseline;
      const { currency } = programme;
      const list = `season-progress?${programmeId} ${by} ${dataOn} ${filter.earningRule}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const scope = costScope(baseline, by);
      const costs = costBook(await readCosts(tx, scope), scope).until(dataOn);
      const { total, rows } = await readRows(tx, baseline, by, costs, { limit, after });
      const standing = standingOf(total, costs.actualCost, costs.inKind);
      const entries = moneyOf(await accruedAndPaid(tx, scope), currency);
      const others = await otherCurrencies(tx, scope);
      const changes = await plannedChanges(tx, baseline);
      const span = spanOf(changes);
      const page = paged(tx, list, by, rows, limit);
      return {
        programmeId,
        dataOn,
        currency,
        baseline: baselineRecord(baseline, span),
        earningRule: { code: filter.earningRule, text: RULE_TEXTS[filter.earningRule] },
        by,
        total: standing,
        earnedSchedule: earnedScheduleOf(baseline, changes, span, total),
        costWithoutBuild: costs.withoutBuild,
        inKindWithoutBuild: costs.inKindWithoutBuild,
        stockNotYetUsed: costs.stockNotYetUsed,
        undated: { buildCount: total.undatedCount, amount: moneyOf(total.undated, currency) },
        outsideBaseline: {
          buildCount: total.outsideCount,
          amount: moneyOf(total.outside, currency),
        },
        cancelledInBaseline: {
          buildCount: total.cancelledCount,
          amount: moneyOf(total.cancelled, currency),
        },
        reconciliation: {
          budget: budgetReconciled(standing.budgetAtCompletion, total),
          costs: costsReconciled(entries, costs),
          otherCurrencies: others.map((one) => moneyOf(one.amount, one.currency)),
        },
        cautions: CAUTIONS,
        ...page,
      };
    },

    async rows(tx, programmeId, { by, ...filter }) {
      const baseline = await baselineAt(tx, clock, programmeId, filter);
      const scope = costScope(baseline, by);
      const costs = costBook(await readCosts(tx, scope), scope).until(baseline.dataOn);
      const paging = { limit: MOST_ROWS, after: null };
      const { rows } = await readRows(tx, baseline, by, costs, paging);
      return rows.slice(0, MOST_ROWS);
    },
  };
}

/**
 * Sums over whole seasons are joined by hashing. A plan that was published a moment ago has no
 * statistics yet, and the database would go through it row by row for each row of another table.
 */
const JOIN_BY_HASH_SQL = `select set_config('enable_nestloop', 'off', true)`;

/** The baseline of a programme with the data date asked for; standings are there afterwards. */
export async function baselineAt(
  tx: Tx,
  clock: Clock,
  programmeId: string,
  { dataDate, earningRule }: ProgressFilter,
): Promise<Baseline> {
  const dataOn = dataDate ?? clock.today();
  refuseFutureDate(clock, '/dataDate', dataOn);
  const programme = await findProgrammeOfProgress(tx, programmeId);
  if (!programme) throw notFound('programme', programmeId);
  await keepMissingStandings(tx, programmeId);
  await tx.sql(JOIN_BY_HASH_SQL);
  return readBaseline(tx, programme, dataOn, earningRule);
}

export const costScope = (
  { programme, dataOn }: Baseline,
  by: ProgressGrouping,
  isDaily = false,
): CostScope => ({
  programmeId: programme.id,
  currency: programme.currency,
  ...{ dataOn, by, isDaily },
});

interface Rows {
  readonly total: TotalRow;
  readonly rows: readonly SeasonProgressRow[];
}

async function readRows(
  tx: Tx,
  baseline: Baseline,
  by: ProgressGrouping,
  costs: CostStanding,
  paging: Paging,
): Promise<Rows> {
  const { id, code, currency } = baseline.programme;
  if (by === 'village' || by === 'crew') {
    const groups = await valuesByGroup(tx, baseline, by);
    const has = ({ buildCount, id: of }: GroupRow) =>
      buildCount > 0 || costs.actualByKey.has(of ?? '') || costs.inKindByKey.has(of ?? '');
    return {
      total: totalOf(groups),
      rows: groups.filter(has).map((group) => progressRow(group, costs, currency)),
    };
  }
  if (by === 'grant') {
    const alike = await sharedValues(tx, baseline);
    const grants = await grantsOfProgramme(tx, id);
    const values = valuesOfGrants(alike, currency);
    return { total: totalOf(alike), rows: grantRows(grants, values, costs, currency) };
  }
  const total = await totalValue(tx, baseline);
  if (by === 'programme') {
    const standing = standingOf(total, costs.actualCost, costs.inKind);
    return { total, rows: [{ id, code, name: null, ...standing }] };
  }
  const builds = await valuesOfBuilds(tx, baseline, paging);
  return { total, rows: builds.map((build) => progressRow(build, costs, currency)) };
}

/** Builds come in pages; of everything else there are few. */
function paged(
  tx: Tx,
  list: string,
  by: ProgressGrouping,
  rows: readonly SeasonProgressRow[],
  limit: number,
): Page<SeasonProgressRow> {
  if (by !== 'build') return { items: [...rows], nextCursor: null };
  const keyOf = (row: SeasonProgressRow) => [row.code ?? '', row.id ?? ''];
  return toPage(tx.actor, list, rows, limit, keyOf, (row) => row);
}

export interface Span {
  readonly startsOn: string | null;
  readonly finishesOn: string | null;
}

export function baselineRecord({ plan }: Baseline, span: Span): SeasonProgress['baseline'] {
  return {
    kind: plan ? 'published-plan' : 'planned-starts',
    amounts: plan?.isFrozen ? 'frozen' : 'bills-now',
    seasonPlanId: plan?.id ?? null,
    seasonPlanCode: plan?.code ?? null,
    versionNumber: plan?.versionNumber ?? null,
    publishedAt: plan?.publishedAt ?? null,
    startsOn: span.startsOn,
    finishesOn: span.finishesOn,
  };
}

/** First and last day of the baseline's work. */
export const spanOf = (changes: readonly ValueChange[]): Span => ({
  startsOn: changes[0]?.on ?? null,
  finishesOn: changes.at(-1)?.on ?? null,
});

function earnedScheduleOf(
  baseline: Baseline,
  plannedChanges: readonly ValueChange[],
  { startsOn, finishesOn }: Span,
  total: TotalRow,
): SeasonProgress['earnedSchedule'] {
  if (startsOn === null || finishesOn === null) return null;
  const { currency } = baseline.programme;
  const found = earnedScheduleInWeeks({
    plannedChanges,
    ...{ startsOn, finishesOn, dataOn: baseline.dataOn },
    earnedValue: moneyOf(total.datedEv, currency),
  });
  if (found === null) return null;
  return {
    earnedScheduleWeeks: found.earnedSchedulePeriods,
    actualTimeWeeks: found.actualTimeWeeks,
    plannedDurationWeeks: found.plannedDurationWeeks,
    scheduleVarianceWeeks: found.scheduleVariancePeriods,
    schedulePerformanceIndexOfTime: found.schedulePerformanceIndex,
    estimatedDurationWeeks: found.estimatedDurationPeriods,
    forecastFinishOn: found.forecastFinishOn,
  };
}
