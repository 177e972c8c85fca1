import { z } from 'zod';
import { LOT_STATES } from '../procurement/lot-standing.ts';
import { materialUnitCode } from './material.ts';
import { civilDate, code, decimal, id, instant, shortText } from './values.ts';

export const LOT_RULES = ['lot-expired', 'lot-failed-test', 'lot-recalled'] as const;

const certificateNumber = shortText
  .min(1)
  .meta({ description: 'Number of the certificate of the treatment' });

/** What tells one lot of a material from another. */
const identity = {
  code: code.meta({ description: 'Number of the lot, unique among the lots of its material' }),
  manufacturedOn: civilDate
    .optional()
    .meta({ description: 'Needed for a material told apart by its date of manufacture' }),
  certificateNumber: certificateNumber
    .optional()
    .meta({ description: 'Needed for a material told apart by its treatment certificate' }),
  treatedOn: civilDate.optional(),
};

export const newStockLot = z.strictObject({
  id: id.optional(),
  materialId: id,
  ...identity,
  supplierId: id.optional(),
  remarks: shortText.default(''),
});

/** A lot as a receipt names it: one that is known, or what is needed to make it known. */
export const receivedLot = z.union([
  z.strictObject({ id }),
  z.strictObject({ ...identity, supplierId: id.optional() }),
]);

export const lotStandingFields = {
  state: z.enum(LOT_STATES),
  usableUntil: civilDate.nullable().meta({ description: 'Last day of use; null when it keeps' }),
  rule: z.enum(LOT_RULES).nullable().meta({ description: 'The rule that forbids its use' }),
  explanation: z.string(),
};

export const lotTest = z
  .object({
    id,
    lotId: id,
    testedOn: civilDate,
    outcome: z.enum(['passed', 'failed']),
    usableUntil: civilDate.nullable(),
    method: z.string(),
    evidence: z.string(),
    testedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'LotTest' });

const testFields = {
  id: id.optional(),
  testedOn: civilDate,
  method: shortText.min(1).meta({ description: 'How it was tested, such as cubes at 7 days' }),
  evidence: shortText.default('').meta({ description: 'Report number or where it is kept' }),
};

export const newLotTest = z.discriminatedUnion('outcome', [
  z.strictObject({
    ...testFields,
    outcome: z.literal('passed'),
    usableUntil: civilDate.meta({ description: 'Last day of use after this test' }),
  }),
  z.strictObject({ ...testFields, outcome: z.literal('failed') }),
]);

export const lotRecall = z
  .object({
    id,
    lotId: id,
    recalledOn: civilDate,
    reason: z.string(),
    liftedOn: civilDate.nullable(),
    liftReason: z.string().nullable(),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'LotRecall' });

export const newLotRecall = z.strictObject({
  id: id.optional(),
  recalledOn: civilDate,
  reason: shortText.min(1),
});

export const newRecallLift = z.strictObject({
  id: id.optional(),
  recallId: id,
  liftedOn: civilDate,
  reason: shortText.min(1),
});

export const stockLot = z
  .object({
    id,
    materialId: id,
    materialCode: z.string(),
    unitCode: materialUnitCode,
    code: z.string(),
    supplierId: id.nullable(),
    manufacturedOn: civilDate.nullable(),
    expiresOn: civilDate.nullable().meta({
      description: 'Last day of use without a test: manufacture + the days the material keeps',
    }),
    certificateNumber: z.string().nullable(),
    treatedOn: civilDate.nullable(),
    remarks: z.string(),
    ...lotStandingFields,
    strengthLeftRatio: z.number().nullable().meta({
      description:
        'For cement: strength left by its age, for warning only; never add cement to make up for it. Null beyond the table or without a date',
    }),
    inStoresQuantity: decimal.meta({ description: 'What lies in all stores together' }),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'StockLot' });

/** One lot with its tests and recalls. */
export const stockLotWhole = stockLot
  .extend({ tests: z.array(lotTest), recalls: z.array(lotRecall) })
  .meta({ id: 'StockLotWhole' });

export const stockLotFilters = {
  materialId: id.optional(),
  supplierId: id.optional(),
  storeId: id.optional().meta({ description: 'Only lots of which this store holds something' }),
  code: code.optional(),
};

export const stockLotBalance = z
  .object({
    storeId: id,
    storeCode: z.string(),
    materialId: id,
    materialCode: z.string(),
    lotId: id.nullable().meta({ description: 'Null: stock that was never given a lot' }),
    lotCode: z.string().nullable(),
    quantity: decimal,
    unitCode: materialUnitCode,
    ...lotStandingFields,
  })
  .meta({ id: 'StockLotBalance' });

export type NewStockLot = z.infer<typeof newStockLot>;
export type ReceivedLot = z.infer<typeof receivedLot>;
export type StockLot = z.infer<typeof stockLot>;
export type StockLotWhole = z.infer<typeof stockLotWhole>;
export type LotTest = z.infer<typeof lotTest>;
export type NewLotTest = z.infer<typeof newLotTest>;
export type LotRecall = z.infer<typeof lotRecall>;
export type NewLotRecall = z.infer<typeof newLotRecall>;
export type NewRecallLift = z.infer<typeof newRecallLift>;
export type StockLotBalance = z.infer<typeof stockLotBalance>;
