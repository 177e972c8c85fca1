import { z } from 'zod';
import { code, documentFields, id, name } from './values.ts';

const fields = {
  programmeId: id,
  code,
  name,
  unitCount: z.int().min(0).max(100_000).meta({ description: 'Units that can be lent at a time' }),
};

/** Moulds, posts, mixers: what stages hold while they go on, named by its code in stage templates. */
export const equipmentSet = z.object({ ...documentFields, ...fields }).meta({ id: 'EquipmentSet' });
export const newEquipmentSet = z.strictObject({ id: id.optional(), ...fields });
export const equipmentSetPatch = z.strictObject(fields).omit({ programmeId: true }).partial();
export const equipmentSetFilters = { programmeId: id.optional() };

export type EquipmentSet = z.infer<typeof equipmentSet>;
export type NewEquipmentSet = z.infer<typeof newEquipmentSet>;
export type EquipmentSetPatch = z.infer<typeof equipmentSetPatch>;
