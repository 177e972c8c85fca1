import { z } from 'zod';
import { MATERIAL_UNIT_CODES } from '../units/unit-codes.ts';
import { code, documentFields, id, name } from './values.ts';

/** What a material is for. Labour is costed in bills but never ordered or stored. */
export const MATERIAL_CATEGORIES = [
  'binder',
  'aggregate',
  'water',
  'bamboo',
  'steel',
  'fittings',
  'treatment',
  'finish',
  'formwork',
  'consumable',
  'labour',
  'other',
] as const;

export const materialUnitCode = z
  .enum(MATERIAL_UNIT_CODES)
  .meta({ description: 'Unit of measure, UNECE Recommendation 20' });

const fields = {
  code,
  name,
  category: z.enum(MATERIAL_CATEGORIES),
  unitCode: materialUnitCode,
};

export const material = z.object({ ...documentFields, ...fields }).meta({ id: 'Material' });
export const newMaterial = z.strictObject({ id: id.optional(), ...fields });
export const materialPatch = z.strictObject(fields).partial();
export const materialFilters = { category: fields.category.optional() };

export type Material = z.infer<typeof material>;
export type NewMaterial = z.infer<typeof newMaterial>;
export type MaterialPatch = z.infer<typeof materialPatch>;
