import { z } from 'zod';
import { civilDate, code, documentFields, id, name, shortText } from './values.ts';

export const trade = z
  .string()
  .trim()
  .regex(/^[a-z][a-z0-9-]{0,39}$/, 'small letters, digits and -, such as mason');

const absence = z
  .strictObject({ fromOn: civilDate, untilOn: civilDate, reason: shortText.default('') })
  .refine(({ fromOn, untilOn }) => untilOn >= fromOn, {
    path: ['untilOn'],
    message: 'must not be before fromOn',
  });

const fields = {
  programmeId: id,
  code,
  name,
  size: z.int().min(1).max(200).meta({ description: 'People in the crew' }),
  homeVillageId: id.nullable().default(null),
  trades: z
    .array(trade)
    .max(20)
    .overwrite((trades) => [...new Set(trades)].sort())
    .default([])
    .meta({ description: 'Stages of these trades; every stage when empty' }),
  availableFrom: civilDate.nullable().default(null),
  availableUntil: civilDate
    .nullable()
    .default(null)
    .meta({ description: 'Last day on which the crew works' }),
  absences: z.array(absence).max(200).default([]).meta({ description: 'Both days included' }),
  tanksBuilt: z.int().min(0).max(100_000).default(0).meta({
    description: 'Tanks that the crew had built before this programme',
  }),
  practisedAfterTanks: z.int().min(0).max(50).default(0).meta({
    description:
      'From this tank on the crew needs the days of the stage template; 0: from the first',
  }),
  learningRatio: z.number().min(0.5).max(1).default(1).meta({
    description:
      'Time for a tank over the time for the one at half its number: 0.8 on an 80 % curve',
  }),
};

export const crew = z.object({ ...documentFields, ...fields }).meta({ id: 'Crew' });
export const newCrew = z
  .strictObject({ id: id.optional(), ...fields })
  .refine(
    ({ availableFrom, availableUntil }) =>
      availableFrom === null || availableUntil === null || availableUntil >= availableFrom,
    { path: ['availableUntil'], message: 'must not be before availableFrom' },
  );
export const crewPatch = z
  .strictObject({
    ...fields,
    homeVillageId: fields.homeVillageId.unwrap(),
    trades: fields.trades.unwrap(),
    availableFrom: fields.availableFrom.unwrap(),
    availableUntil: fields.availableUntil.unwrap(),
    absences: fields.absences.unwrap(),
    tanksBuilt: fields.tanksBuilt.unwrap(),
    practisedAfterTanks: fields.practisedAfterTanks.unwrap(),
    learningRatio: fields.learningRatio.unwrap(),
  })
  .omit({ programmeId: true })
  .partial();

export const crewFilters = { programmeId: id.optional() };

export type Crew = z.infer<typeof crew>;
export type NewCrew = z.infer<typeof newCrew>;
export type CrewPatch = z.infer<typeof crewPatch>;
