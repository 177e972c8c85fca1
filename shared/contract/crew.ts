import { z } from 'zod';
import { code, documentFields, id, name } from './values.ts';

const fields = {
  programmeId: id,
  code,
  name,
  size: z.int().min(1).max(200).meta({ description: 'People in the crew' }),
  homeVillageId: id.nullable().default(null),
};

export const crew = z.object({ ...documentFields, ...fields }).meta({ id: 'Crew' });
export const newCrew = z.strictObject({ id: id.optional(), ...fields });
export const crewPatch = z
  .strictObject({ ...fields, homeVillageId: fields.homeVillageId.unwrap() })
  .omit({ programmeId: true })
  .partial();

export const crewFilters = { programmeId: id.optional() };

export type Crew = z.infer<typeof crew>;
export type NewCrew = z.infer<typeof newCrew>;
export type CrewPatch = z.infer<typeof crewPatch>;
