import { z } from 'zod';
import { civilDate, code, currency, documentFields, id, name, ratio } from './values.ts';

const fields = {
  code,
  name,
  startsOn: civilDate,
  endsOn: civilDate,
  currency,
  workingWeekdays: z
    .array(z.int().min(1).max(7))
    .min(1)
    .max(7)
    .default([1, 2, 3, 4, 5, 6])
    .meta({ description: 'ISO 8601 weekdays on which crews work, Monday 1 to Sunday 7' }),
  holidays: z.array(civilDate).max(400).default([]),
  targetReliabilityRatio: ratio.gt(0).meta({
    description:
      'Volumetric reliability that a chosen tank must reach: water drawn over water wanted',
  }),
  litresPerPersonPerDay: z.number().gt(0).max(500),
  operatingRule: z
    .enum(['yield-after-spillage', 'yield-before-spillage'])
    .default('yield-after-spillage'),
  firstFlushMm: z.number().min(0).max(20).default(1),
  gutterEfficiencyRatio: ratio.gt(0).default(0.9),
  rainsFrom: civilDate.nullable().default(null).meta({
    description: 'Between these days stages that rain blocks are not planned',
  }),
  rainsUntil: civilDate.nullable().default(null),
  holdReleaseDays: z.int().min(0).max(60).default(1).meta({
    description: 'Calendar days that a plan leaves for the release of a hold point',
  }),
  wetDayMm: z.number().gt(0).max(100).default(5).meta({
    description: 'Rain of a day from which stages that rain blocks stand still',
  }),
  moveDetourRatio: z.number().min(1).max(5).default(1.4).meta({
    description: 'Way of a crew between two villages over the straight line',
  }),
  moveSpeedKmPerH: z.number().gt(0).max(100).default(20),
  movePackingHours: z.number().min(0).max(100).default(3),
};

export const programme = z
  .object({ ...documentFields, ...fields, standardDesignRevisionIds: z.array(id) })
  .meta({ id: 'Programme' });

export const newProgramme = z
  .strictObject({ id: id.optional(), ...fields })
  .refine(({ startsOn, endsOn }) => endsOn >= startsOn, {
    path: ['endsOn'],
    message: 'must not be before startsOn',
  })
  .refine(({ rainsFrom, rainsUntil }) => (rainsFrom === null) === (rainsUntil === null), {
    path: ['rainsUntil'],
    message: 'goes with rainsFrom, and only with it',
  });

export const programmePatch = z
  .strictObject({
    ...fields,
    workingWeekdays: fields.workingWeekdays.unwrap(),
    holidays: fields.holidays.unwrap(),
    operatingRule: fields.operatingRule.unwrap(),
    firstFlushMm: fields.firstFlushMm.unwrap(),
    gutterEfficiencyRatio: fields.gutterEfficiencyRatio.unwrap(),
    rainsFrom: fields.rainsFrom.unwrap(),
    rainsUntil: fields.rainsUntil.unwrap(),
    holdReleaseDays: fields.holdReleaseDays.unwrap(),
    wetDayMm: fields.wetDayMm.unwrap(),
    moveDetourRatio: fields.moveDetourRatio.unwrap(),
    moveSpeedKmPerH: fields.moveSpeedKmPerH.unwrap(),
    movePackingHours: fields.movePackingHours.unwrap(),
  })
  .partial();

export type Programme = z.infer<typeof programme>;
export type NewProgramme = z.infer<typeof newProgramme>;
export type ProgrammePatch = z.infer<typeof programmePatch>;
