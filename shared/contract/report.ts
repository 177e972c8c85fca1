import { z } from 'zod';
import { civilDate, id, instant, money } from './values.ts';

export const newReport = z
  .strictObject({
    id: id.optional(),
    code: z.string().trim().min(1).max(40),
    periodFrom: civilDate,
    periodUntil: civilDate,
    dataOn: civilDate.meta({
      description: 'The report holds what was true at the end of this day',
    }),
  })
  .refine(({ periodFrom, periodUntil }) => periodUntil >= periodFrom, {
    path: ['periodUntil'],
    message: 'must not be before periodFrom',
  })
  .refine(({ periodFrom, dataOn }) => dataOn >= periodFrom, {
    path: ['dataOn'],
    message: 'must not be before periodFrom',
  });

export const reportFigure = z
  .object({
    code: z.string(),
    title: z.string(),
    value: z
      .string()
      .nullable()
      .meta({ description: 'Decimal text; null where it cannot be formed' }),
    unit: z.string().meta({ description: 'Unit, or the currency of an amount' }),
    basis: z.enum(['recorded', 'modelled', 'derived']).meta({
      description:
        'recorded: summed from records; modelled: by the engine; derived: from other figures',
    }),
    formula: z.string(),
    recordsUrl: z.string(),
  })
  .meta({ id: 'ReportFigure' });

const budgetRow = z.object({
  budgetLineCode: z.string().nullable(),
  title: z.string(),
  budget: money,
  committed: money,
  accrued: money,
  paid: money,
  available: money,
  isOverspent: z.boolean(),
});

const buildRow = z.object({
  buildCode: z.string(),
  villageName: z.string(),
  capacityL: z.number(),
  peopleServed: z.int(),
  shareRatio: z.string(),
  status: z.string(),
  percentComplete: z.number(),
  handedOverOn: civilDate.nullable(),
});

export const reportContent = z.object({
  grant: z.object({ code: z.string(), title: z.string(), currency: z.string(), amount: money }),
  donorName: z.string(),
  programmeName: z.string(),
  figures: z.array(reportFigure),
  budget: z.array(budgetRow),
  builds: z.array(buildRow),
  cautions: z.array(z.string()),
});

export const report = z
  .object({
    id,
    grantId: id,
    code: z.string(),
    periodFrom: civilDate,
    periodUntil: civilDate,
    dataOn: civilDate,
    engineVersion: z.string(),
    frozenAt: instant,
    contentSha256: z.string(),
    content: reportContent,
  })
  .meta({ id: 'Report' });

export const reportSummary = report.omit({ content: true }).meta({ id: 'ReportSummary' });

export const reportRecord = z
  .object({
    noun: z.enum(['build', 'cost-entry', 'budget-line', 'grant']),
    recordId: id,
    label: z.string(),
    contribution: z.string(),
  })
  .meta({ id: 'ReportRecord' });

export type NewReport = z.output<typeof newReport>;
export type Report = z.infer<typeof report>;
export type ReportSummary = z.infer<typeof reportSummary>;
export type ReportContent = z.infer<typeof reportContent>;
export type ReportFigure = z.infer<typeof reportFigure>;
export type ReportRecord = z.infer<typeof reportRecord>;
