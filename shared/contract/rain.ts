import { z } from 'zod';
import { GREATEST_CREDIBLE_DAILY_RAIN_MM } from '../hydrology/rainfall-series.ts';
import { pointFields, pointIsWhole } from './place.ts';
import { civilDate, code, documentFields, id, instant, name, shortText } from './values.ts';

const source = shortText
  .min(1)
  .meta({ description: 'Who measured it, and where it was taken from' });

const stationFields = { code, name, source, ...pointFields };

export const rainStation = z
  .object({ ...documentFields, ...stationFields })
  .meta({ id: 'RainStation' });

export const newRainStation = z
  .strictObject({ id: id.optional(), ...stationFields })
  .check(pointIsWhole);

export const rainStationPatch = z
  .strictObject({
    ...stationFields,
    latDeg: stationFields.latDeg.unwrap(),
    lonDeg: stationFields.lonDeg.unwrap(),
  })
  .partial()
  .check(pointIsWhole);

/** Longest series taken: two hundred years. */
export const MAX_RAIN_DAYS = 73_050;

export const newRainSeries = z
  .strictObject({
    id: id.optional(),
    startsOn: civilDate,
    dailyRainMm: z
      .array(z.number().min(0).max(GREATEST_CREDIBLE_DAILY_RAIN_MM).nullable())
      .min(1)
      .max(MAX_RAIN_DAYS)
      .meta({ description: 'One entry a day [mm], the first on startsOn; null where missing' }),
    source,
    missingDaysDeclared: z.boolean().default(false).meta({
      description: 'True: missing days are known and count as dry. False: they are refused',
    }),
  })
  .meta({ id: 'NewRainSeries' });

/** What a CSV file cannot say about itself. */
export const rainFileQuery = z.strictObject({
  id: id.optional(),
  source: source.optional(),
  missingDaysDeclared: z
    .enum(['true', 'false'])
    .optional()
    .meta({ description: 'With text/csv: true when missing days are known and count as dry' }),
});

const seriesFields = {
  id,
  stationId: id,
  startsOn: civilDate,
  endsOn: civilDate,
  dayCount: z.int(),
  missingDayCount: z.int(),
  missingDaysDeclared: z.boolean(),
  source: z.string(),
  isCurrent: z.boolean().meta({ description: 'The newest series of its station' }),
  createdAt: instant,
};

const rainSummary = z
  .object({
    wetDayFromMm: z.number(),
    wetDayCount: z.int(),
    totalRainMm: z.number(),
    meanAnnualRainMm: z.number().nullable().meta({
      description: 'Sum of the means of the twelve months; null when a month has no data',
    }),
    meanRainByMonthMm: z.array(z.number().nullable()).length(12).meta({
      description: 'January first; null for a month without data',
    }),
    greatestDailyRainMm: z.number(),
    greatestOn: civilDate,
    longestDryRun: z.object({
      dayCount: z.int(),
      startsOn: civilDate.nullable(),
      endsOn: civilDate.nullable(),
    }),
  })
  .meta({ id: 'RainSummary' });

export const rainSeriesHead = z.object(seriesFields).meta({ id: 'RainSeriesHead' });

export const rainSeriesRecorded = z
  .object({ ...seriesFields, missingOn: z.array(civilDate), summary: rainSummary })
  .meta({ id: 'RainSeriesRecorded' });

export const rainSeries = z
  .object({
    ...rainSeriesRecorded.shape,
    dailyRainMm: z.array(z.number().nullable()),
  })
  .meta({ id: 'RainSeries' });

export type RainStation = z.infer<typeof rainStation>;
export type NewRainStation = z.infer<typeof newRainStation>;
export type RainStationPatch = z.infer<typeof rainStationPatch>;
export type NewRainSeries = z.infer<typeof newRainSeries>;
export type RainFileQuery = z.infer<typeof rainFileQuery>;
export type RainSummary = z.infer<typeof rainSummary>;
export type RainSeriesHead = z.infer<typeof rainSeriesHead>;
export type RainSeriesRecorded = z.infer<typeof rainSeriesRecorded>;
export type RainSeries = z.infer<typeof rainSeries>;
