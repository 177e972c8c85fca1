import { z } from 'zod';
import { code, documentFields, id, name } from './values.ts';

const fields = { code, name, tankKindId: id };

/** A tank design: a name for its numbered revisions, which carry the dimensions. */
export const tankDesign = z.object({ ...documentFields, ...fields }).meta({ id: 'TankDesign' });
export const newTankDesign = z.strictObject({ id: id.optional(), ...fields });
export const tankDesignPatch = z.strictObject(fields).partial();
export const tankDesignFilters = { tankKindId: id.optional() };

export type TankDesign = z.infer<typeof tankDesign>;
export type NewTankDesign = z.infer<typeof newTankDesign>;
export type TankDesignPatch = z.infer<typeof tankDesignPatch>;
