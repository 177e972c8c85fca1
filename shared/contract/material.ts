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

/** By what the lots of a material are told apart in store; `none` has no lots. */
export const LOT_IDENTITIES = ['none', 'manufacture-date', 'treatment-certificate'] as const;

export const materialUnitCode = z
  .enum(MATERIAL_UNIT_CODES)
  .meta({ description: 'Unit of measure, UNECE Recommendation 20' });

const massKgPerUnit = z
  .number()
  .positive()
  .max(1e6)
  .nullable()
  .meta({ description: 'What one unit weighs on a lorry; null when nobody has said' });
const storageM2PerUnit = z.number().positive().max(1e4).nullable().meta({
  description: 'Floor that one unit takes in a store, stacked; null when nobody has said',
});
const shelfLifeDays = z.int().min(1).max(36_500).nullable().meta({
  description: 'Days from manufacture within which it is used; needs lots by manufacture date',
});
const lotIdentity = z.enum(LOT_IDENTITIES).meta({
  description: 'Whether stock is kept by lots, and which paper names a lot',
});

const named = {
  code,
  name,
  category: z.enum(MATERIAL_CATEGORIES),
  unitCode: materialUnitCode,
};
const stored = { massKgPerUnit, storageM2PerUnit, shelfLifeDays, lotIdentity };

/** What keeps only so long has lots with a date to count from. */
export function shelfLifeIsDated(
  shelfLife: number | null | undefined,
  identity: (typeof LOT_IDENTITIES)[number],
): boolean {
  return (shelfLife ?? null) === null || identity === 'manufacture-date';
}

export const SHELF_LIFE_NEEDS_LOTS = 'needs lotIdentity manufacture-date, to count the days from';

export const material = z
  .object({ ...documentFields, ...named, ...stored })
  .meta({ id: 'Material' });

export const newMaterial = z
  .strictObject({
    id: id.optional(),
    ...named,
    massKgPerUnit: massKgPerUnit.default(null),
    storageM2PerUnit: storageM2PerUnit.default(null),
    shelfLifeDays: shelfLifeDays.default(null),
    lotIdentity: lotIdentity.default('none'),
  })
  .refine((input) => shelfLifeIsDated(input.shelfLifeDays, input.lotIdentity), {
    path: ['shelfLifeDays'],
    message: SHELF_LIFE_NEEDS_LOTS,
  });

export const materialPatch = z.strictObject({ ...named, ...stored }).partial();
export const materialFilters = { category: named.category.optional() };

export type Material = z.infer<typeof material>;
export type NewMaterial = z.infer<typeof newMaterial>;
export type MaterialPatch = z.infer<typeof materialPatch>;
