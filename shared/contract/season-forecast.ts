import { z } from 'zod';
import { civilDate, id, instant, ratio } from './values.ts';

export const forecastMethod = z.enum(['years', 'wet-day-chain']);

export const newSeasonForecast = z.strictObject({
  method: forecastMethod.default('years').meta({
    description:
      'years: whole years of the record, all stations in the same year; wet-day-chain: wet days drawn month by month, one after the other, as the record has them follow each other',
  }),
  samples: z.int().min(1).max(10_000).default(1_000),
  seed: z
    .int()
    .min(0)
    .max(2 ** 31 - 1)
    .default(1),
});

const finishFields = {
  plannedOn: civilDate.meta({ description: 'Last day of work in the plan' }),
  p50On: civilDate.meta({ description: 'Smallest day by which half of the samples are finished' }),
  p80On: civilDate.meta({
    description: 'Smallest day by which four fifths of the samples are finished',
  }),
  meanDelayDays: z.number().meta({ description: 'Against the plan' }),
  standardDeviationDays: z.number(),
};

const chance = z.object({
  on: civilDate,
  ratio: ratio.meta({ description: 'Share of the samples that are finished before this day' }),
  standardErrorRatio: z.number(),
});

const stageRisk = z.object({
  stageCode: z.string(),
  delayDays: z.number().meta({
    description: 'Days by which the season would end sooner on average if rain did not stop it',
  }),
  delayStandardErrorDays: z.number(),
  criticalRatio: ratio.meta({
    description: 'Share of the samples in which the lateness of the season came through it',
  }),
});

const stationUsed = z.object({
  stationId: id,
  stationCode: z.string(),
  seriesId: id,
  startsOn: civilDate,
  endsOn: civilDate,
  villageCount: z.int(),
});

const villageName = { villageId: id, villageCode: z.string(), villageName: z.string() };

const resultFields = {
  season: z.object(finishFields),
  beforeRains: chance.nullable().meta({ description: 'Null when no rains come after the start' }),
  beforeEnd: chance.meta({ description: 'Before the day after the end of the programme' }),
  p50StandardErrorRatio: z.number().meta({ description: 'Of the share of samples at P50' }),
  p80StandardErrorRatio: z.number(),
  risks: z.array(stageRisk).meta({ description: 'Stages that rain stops, the worst first' }),
  wetDayMm: z.number().meta({ description: 'A day with as much rain or more is wet' }),
  stations: z.array(stationUsed),
  years: z.array(z.int()).meta({
    description: 'Method years: years whose weather from the day of the start on was replayed',
  }),
  yearsLeftOut: z
    .array(z.int())
    .meta({ description: 'Years that some station lacks or has with missing days' }),
  coveredDays: z.int().nullable().meta({
    description: 'Days from the start that the years cover; later ones count as dry',
  }),
  beyondRecordCount: z.int().meta({ description: 'Samples that end after those days' }),
  villagesWithoutStation: z
    .array(z.object(villageName))
    .meta({ description: 'No rain is known there: their days count as dry' }),
};

const headFields = {
  id,
  seasonPlanId: id,
  jobId: id.nullable(),
  method: forecastMethod,
  sampleCount: z.int(),
  seed: z.int(),
  engineVersion: z.string(),
  createdById: id,
  createdAt: instant,
};

export const seasonForecastSummary = z
  .object({ ...headFields, ...resultFields })
  .meta({ id: 'SeasonForecastSummary' });

/** A season plan run through sampled weather. */
export const seasonForecast = z
  .object({
    ...headFields,
    ...resultFields,
    villages: z.array(z.object({ ...villageName, ...finishFields })),
    builds: z.array(
      z.object({
        buildId: id,
        buildCode: z.string(),
        villageId: id,
        ...finishFields,
        inTimeRatio: ratio
          .nullable()
          .meta({ description: 'Share of the samples that are finished by its due day' }),
      }),
    ),
  })
  .meta({ id: 'SeasonForecast' });

export type NewSeasonForecast = z.output<typeof newSeasonForecast>;
export type SeasonForecastSummary = z.infer<typeof seasonForecastSummary>;
export type SeasonForecastRecord = z.infer<typeof seasonForecast>;
export type SeasonForecastResult = Omit<SeasonForecastRecord, keyof typeof headFields>;
