import { z } from 'zod';
import { civilDate, id, instant, money } from './values.ts';

export const progressGrouping = z.enum(['build', 'crew', 'village', 'grant', 'programme']);
export type ProgressGrouping = z.infer<typeof progressGrouping>;

export const seasonProgressFilters = {
  dataDate: civilDate.optional().meta({
    description: 'Day at whose end things are looked at; today when left out, never later',
  }),
  earningRule: z.enum(['0-100', 'by-length']).default('0-100').meta({
    description:
      '0-100: a stage earns all when it is accepted; by-length: stages planned to last a week or longer, waits counted, earn half when they start',
  }),
};

export const seasonProgressGrouped = {
  ...seasonProgressFilters,
  by: progressGrouping.default('programme').meta({
    description: 'Rows: builds, crews that builds name, villages, grants by shares, or one for all',
  }),
};

export const valueCurveFilters = {
  ...seasonProgressFilters,
  step: z.enum(['day', 'week']).default('week'),
};

const baseline = z
  .object({
    kind: z.enum(['published-plan', 'planned-starts']).meta({
      description:
        'published-plan: the stage dates of the published season plan; planned-starts: no plan is published, each planned start is laid over the working days of the programme',
    }),
    amounts: z.enum(['frozen', 'bills-now']).meta({
      description: 'frozen: bills as they were when the plan was published; bills-now: as they are',
    }),
    seasonPlanId: id.nullable(),
    seasonPlanCode: z.string().nullable(),
    versionNumber: z.int().nullable(),
    publishedAt: instant.nullable(),
    startsOn: civilDate
      .nullable()
      .meta({ description: 'First day of work; null without any date' }),
    finishesOn: civilDate.nullable(),
  })
  .meta({ id: 'ValueBaseline' });

const earningRule = z.object({
  code: seasonProgressFilters.earningRule.unwrap(),
  text: z.string(),
});

const nullableIndex = z.number().nullable();

const valueFields = {
  budgetAtCompletion: money,
  plannedValue: money,
  earnedValue: money,
  actualCost: money,
  scheduleVariance: money,
  costVariance: money,
  schedulePerformanceIndex: nullableIndex,
  costPerformanceIndex: nullableIndex,
  completeRatio: nullableIndex,
  estimateAtCompletion: money.nullable(),
  estimateAtCompletionOneOff: money.nullable(),
  estimateAtCompletionBoth: money.nullable(),
  estimateToComplete: money.nullable(),
  varianceAtCompletion: money.nullable(),
  toCompletePerformanceIndex: nullableIndex,
};

const inKind = z
  .object({
    budget: money,
    planned: money,
    earned: money,
    contributed: money.meta({ description: 'Recorded contributions, by their valuation' }),
  })
  .meta({ id: 'InKindStanding', description: 'Kept apart from cash' });

export const seasonProgressRow = z
  .object({
    id: id
      .nullable()
      .meta({ description: 'Null: builds without a crew, or what no grant pays for' }),
    code: z.string().nullable(),
    name: z.string().nullable(),
    buildCount: z.int().meta({ description: 'Builds of the baseline' }),
    ...valueFields,
    inKind,
  })
  .meta({ id: 'SeasonProgressRow' });
export type SeasonProgressRow = z.infer<typeof seasonProgressRow>;

const earnedScheduleWeeks = z
  .object({
    earnedScheduleWeeks: z.number(),
    actualTimeWeeks: z.number(),
    plannedDurationWeeks: z.int(),
    scheduleVarianceWeeks: z.number(),
    schedulePerformanceIndexOfTime: z.number(),
    estimatedDurationWeeks: z.number().nullable(),
    forecastFinishOn: civilDate.nullable(),
  })
  .meta({ id: 'EarnedScheduleWeeks' });

const namedAmount = z.object({ code: z.string(), text: z.string(), amount: money });

const reconciliation = z
  .object({
    budget: z.object({
      budgetAtCompletion: money,
      billsNow: money.meta({ description: 'Bills of all builds that are not cancelled' }),
      items: z.array(namedAmount).meta({ description: 'What leads from the bills to the budget' }),
      difference: money.meta({ description: 'Nothing, when it adds up' }),
    }),
    costs: z.object({
      accruedAndPaid: money.meta({ description: 'Cash entries of the ledger, each cost once' }),
      items: z.array(namedAmount).meta({ description: 'Where these costs are' }),
      difference: money.meta({ description: 'Nothing, when it adds up' }),
    }),
    otherCurrencies: z
      .array(money)
      .meta({ description: 'Accrued and paid in other currencies: in no figure' }),
  })
  .meta({ id: 'ProgressReconciliation' });

export const seasonProgress = z
  .object({
    programmeId: id,
    dataOn: civilDate,
    currency: z.string(),
    baseline,
    earningRule,
    by: progressGrouping,
    total: seasonProgressRow.omit({ id: true, code: true, name: true }),
    earnedSchedule: earnedScheduleWeeks.nullable(),
    costWithoutBuild: money.meta({
      description:
        'Costs of the programme that name no build: in the total, in no row of builds, crews or villages',
    }),
    inKindWithoutBuild: money,
    stockNotYetUsed: money.meta({
      description: 'Bought, in stores or on the road; not in the cost',
    }),
    undated: z.object({ buildCount: z.int(), amount: money }).meta({
      description: 'Of the budget, what has no planned date: it is never planned value',
    }),
    outsideBaseline: z.object({ buildCount: z.int(), amount: money }).meta({
      description: 'Builds that came after the plan: in no budget',
    }),
    cancelledInBaseline: z.object({ buildCount: z.int(), amount: money }),
    reconciliation,
    cautions: z.array(z.string()),
    items: z.array(seasonProgressRow),
    nextCursor: z.string().nullable(),
  })
  .meta({ id: 'SeasonProgress' });
export type SeasonProgress = z.infer<typeof seasonProgress>;

export const valueCurvePoint = z
  .object({
    on: civilDate,
    plannedValue: money,
    earliestValue: money,
    latestValue: money,
    earnedValue: money.nullable(),
    actualCost: money.nullable(),
  })
  .meta({ id: 'ValueCurvePoint' });
export type ValueCurvePoint = z.infer<typeof valueCurvePoint>;

export const valueCurveRecord = z
  .object({
    programmeId: id,
    dataOn: civilDate,
    currency: z.string(),
    step: valueCurveFilters.step.unwrap(),
    baseline,
    earningRule,
    points: z.array(valueCurvePoint).meta({
      description:
        'At the end of each day named; the data date is one of them. Earned value and cost end at the data date',
    }),
  })
  .meta({ id: 'ValueCurve' });
export type ValueCurveRecord = z.infer<typeof valueCurveRecord>;
