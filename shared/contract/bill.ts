import { z } from 'zod';
import { civilDate, id, money } from './values.ts';

const lineFields = {
  stageCode: z.string(),
  part: z.string(),
  materialId: id,
  materialCode: z.string(),
  materialName: z.string(),
  category: z.string(),
  unitCode: z.string(),
  netQuantity: z.string().meta({ description: 'In place, without waste' }),
  withWasteQuantity: z.string(),
  amount: money,
  isInKind: z.boolean().meta({ description: 'Given by the community: valued, never paid' }),
};

export const billLine = z
  .object({
    lineCode: z.string(),
    position: z.int(),
    ...lineFields,
    wasteRatio: z.string(),
    offerId: id.nullable(),
    unitRate: z.string(),
  })
  .meta({ id: 'BillLine' });

const totals = {
  amount: money.meta({ description: 'What has to be paid' }),
  inKindAmount: money.meta({
    description: 'What the community gives, valued; never part of amount',
  }),
};

/** Bill of quantities of one build, as it was priced. */
export const buildBill = z
  .object({
    buildId: id,
    buildCode: z.string(),
    designRevisionId: id,
    pricedOn: civilDate,
    ...totals,
    lines: z.array(billLine),
  })
  .meta({ id: 'BuildBill' });

export const billQuery = z
  .strictObject({
    buildId: id.optional(),
    villageId: id.optional(),
    grantId: id.optional(),
    programmeId: id.optional(),
  })
  .refine(
    ({ buildId, villageId, grantId, programmeId }) => {
      const inside = [buildId, villageId, grantId].filter((given) => given !== undefined).length;
      return inside === 1 || (inside === 0 && programmeId !== undefined);
    },
    {
      path: ['programmeId'],
      message: 'give one of buildId, villageId and grantId, or programmeId, or programmeId and one',
    },
  );

/**
 * Totals over builds, from the lines of their bills. Cancelled builds count only where they are named.
 * For a grant every line is split by the shares of its build.
 */
export const bill = z
  .object({
    buildId: id.nullable(),
    villageId: id.nullable(),
    grantId: id.nullable(),
    programmeId: id.nullable(),
    buildCount: z.int(),
    currency: z.string(),
    ...totals,
    byPart: z.array(z.object({ part: z.string(), ...totals })),
    byStage: z.array(z.object({ stageCode: z.string(), ...totals })),
    byMaterial: z.array(
      z.object({
        materialId: id,
        materialCode: z.string(),
        materialName: z.string(),
        category: z.string(),
        unitCode: z.string(),
        netQuantity: z.string(),
        withWasteQuantity: z.string(),
        ...totals,
      }),
    ),
    lines: z.array(z.object(lineFields)).meta({
      description: 'The finest totals: one for each part, stage and material',
    }),
  })
  .meta({ id: 'Bill' });

export type BillLine = z.infer<typeof billLine>;
export type BuildBill = z.infer<typeof buildBill>;
export type BillQuery = z.infer<typeof billQuery>;
export type Bill = z.infer<typeof bill>;
