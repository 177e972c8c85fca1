import { z } from 'zod';
import { place, pointFields, pointIsWhole } from './place.ts';
import { code, documentFields, id, name, positiveDecimal } from './values.ts';

const villageId = id
  .nullable()
  .meta({ description: 'The village in which the store stands, or null' });
const floorAreaM2 = z
  .number()
  .positive()
  .max(1e6)
  .nullable()
  .meta({ description: 'Dry floor on which materials can be stacked; null when not measured' });

const named = { code, name, place };

export const store = z
  .object({ ...documentFields, ...named, ...pointFields, villageId, floorAreaM2 })
  .meta({ id: 'Store' });

export const newStore = z
  .strictObject({
    id: id.optional(),
    ...named,
    ...pointFields,
    villageId: villageId.default(null),
    floorAreaM2: floorAreaM2.default(null),
  })
  .check(pointIsWhole);

export const storePatch = z
  .strictObject({
    ...named,
    latDeg: pointFields.latDeg.unwrap(),
    lonDeg: pointFields.lonDeg.unwrap(),
    villageId,
    floorAreaM2,
  })
  .partial()
  .check(pointIsWhole);

/** Most materials that one store keeps a safety stock of. */
const MAX_SAFETY_STOCKS = 1_000;

export const safetyStock = z
  .object({
    items: z.array(
      z.object({
        materialId: id,
        materialCode: code,
        unitCode: z.string(),
        quantity: z.string().meta({ description: "In the material's unit" }),
      }),
    ),
  })
  .meta({
    id: 'SafetyStock',
    description: 'What a store keeps back of each material against late deliveries',
  });

export const newSafetyStock = z.strictObject({
  items: z
    .array(z.strictObject({ materialId: id, quantity: positiveDecimal }))
    .max(MAX_SAFETY_STOCKS)
    .superRefine((items, context) => {
      const seen = new Set<string>();
      for (const [index, { materialId }] of items.entries()) {
        if (seen.has(materialId)) {
          const message = 'names a material that stands above already';
          context.addIssue({ code: 'custom', path: [index, 'materialId'], message });
        }
        seen.add(materialId);
      }
    }),
});

export type Store = z.infer<typeof store>;
export type NewStore = z.infer<typeof newStore>;
export type StorePatch = z.infer<typeof storePatch>;
export type SafetyStock = z.infer<typeof safetyStock>;
export type NewSafetyStock = z.infer<typeof newSafetyStock>;
