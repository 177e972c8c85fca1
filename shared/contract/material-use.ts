import { z } from 'zod';
import { MATERIAL_CATEGORIES, materialUnitCode } from './material.ts';
import { decimal, id } from './values.ts';

const packs = z.int().nullable();

/** What a build needs of each material against what it got, in the unit and in whole packs. */
export const buildMaterials = z
  .object({
    buildId: id,
    buildCode: z.string(),
    materials: z.array(
      z.object({
        materialId: id,
        materialCode: z.string(),
        materialName: z.string(),
        category: z.enum(MATERIAL_CATEGORIES),
        unitCode: materialUnitCode,
        neededQuantity: decimal.meta({ description: 'By the bill, with waste' }),
        issuedQuantity: decimal,
        returnedQuantity: decimal,
        atBuildQuantity: decimal.meta({ description: 'Issued less returned' }),
        outstandingQuantity: decimal.meta({ description: 'Needed and not issued yet' }),
        returnableQuantity: decimal.meta({
          description: 'Issued less returned less needed, never below 0',
        }),
        packCode: z.string().nullable(),
        packContent: decimal.nullable(),
        neededPacks: packs.meta({ description: 'Whole packs that cover the need' }),
        outstandingPacks: packs,
        returnablePacks: packs.meta({ description: 'Whole packs of what is returnable' }),
      }),
    ),
  })
  .meta({ id: 'BuildMaterials' });

export const consumptionQuery = {
  groupBy: z.enum(['build', 'crew', 'material']).default('material'),
  materialId: id.optional(),
  crewId: id.optional(),
  villageId: id.optional(),
  isHandedOver: z
    .stringbool()
    .optional()
    .meta({ description: 'true: finished builds only; false: builds still under way only' }),
};

const learned = z
  .object({
    buildCount: z.int().meta({ description: 'Handed-over builds that tell' }),
    wasteRatio: z.number().nullable().meta({
      description: 'Σ used / Σ net − 1 over those builds; null when there are fewer than 5',
    }),
    tooFew: z.boolean(),
  })
  .meta({ description: "Offered beside the bill's waste; it replaces nothing" });

/** Bill against use over the builds that were issued the material and are not cancelled. */
export const materialConsumption = z
  .object({
    buildId: id.nullable(),
    buildCode: z.string().nullable(),
    crewId: id.nullable(),
    crewCode: z.string().nullable(),
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    unitCode: materialUnitCode,
    buildCount: z.int(),
    netQuantity: decimal.meta({ description: 'In place by the bills, without waste' }),
    billQuantity: decimal.meta({ description: 'By the bills, with waste' }),
    issuedQuantity: decimal,
    returnedQuantity: decimal,
    usedQuantity: decimal,
    differenceQuantity: decimal.meta({ description: 'Used less bill: above 0 is overuse' }),
    billWasteRatio: z.number().nullable().meta({ description: 'Bill / net − 1' }),
    learnedWaste: learned.nullable().meta({ description: 'Only when grouped by material' }),
  })
  .meta({ id: 'MaterialConsumption' });

export type BuildMaterials = z.infer<typeof buildMaterials>;
export type MaterialConsumption = z.infer<typeof materialConsumption>;
