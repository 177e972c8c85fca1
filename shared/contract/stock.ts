import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { civilDate, decimal, id, instant, positiveDecimal, shortText } from './values.ts';

const LARGEST_QUANTITY = 1e9;

const isNotTooLarge = (text: string) => Number(text) < LARGEST_QUANTITY;
const TOO_LARGE = 'must be below 1,000,000,000';

const quantity = positiveDecimal
  .refine(isNotTooLarge, TOO_LARGE)
  .meta({ description: "In the material's unit, above 0" });

const countedQuantity = decimal
  .refine((text) => !text.startsWith('-'), 'must not be negative')
  .refine(isNotTooLarge, TOO_LARGE)
  .meta({ description: "What was counted, in the material's unit" });

const posting = {
  id: id.optional(),
  storeId: id,
  materialId: id,
  observedOn: civilDate,
  documentNumber: shortText
    .default('')
    .meta({ description: 'Number of the delivery note, issue slip or count sheet' }),
};

const reason = shortText.min(1);

export const newStockEntry = z.discriminatedUnion('kind', [
  z.strictObject({
    ...posting,
    kind: z.literal('receive'),
    quantity,
    orderLineId: id.optional(),
    excessReason: reason.optional().meta({
      description: 'Why more is taken in than was ordered; without it the excess is refused',
    }),
  }),
  z.strictObject({ ...posting, kind: z.literal('issue'), quantity, buildId: id }),
  z.strictObject({
    ...posting,
    kind: z.literal('return'),
    quantity,
    buildId: id,
    reason: shortText.default(''),
  }),
  z.strictObject({ ...posting, kind: z.literal('write-off'), quantity, reason }),
  z.strictObject({
    ...posting,
    kind: z.literal('count'),
    countedQuantity,
    reason: shortText
      .default('')
      .meta({ description: 'Needed when the count differs from the balance' }),
  }),
]);

export const newStockTransfer = z
  .strictObject({
    id: id.optional(),
    fromStoreId: id,
    toStoreId: id,
    materialId: id,
    quantity,
    observedOn: civilDate,
    documentNumber: posting.documentNumber,
    reason: shortText.default(''),
  })
  .refine(({ fromStoreId, toStoreId }) => fromStoreId !== toStoreId, {
    path: ['toStoreId'],
    message: 'must be another store than fromStoreId',
  });

export const stockEntry = z
  .object({
    id,
    storeId: id,
    materialId: id,
    kind: z.enum([
      'receive',
      'issue',
      'return',
      'transfer-out',
      'transfer-in',
      'write-off',
      'count',
    ]),
    quantity: decimal.meta({ description: 'Signed: what came in is above 0, what went out below' }),
    unitCode: materialUnitCode,
    balanceAfter: decimal.meta({
      description: 'Balance of the store and material after this entry, in the order of recording',
    }),
    observedOn: civilDate,
    orderLineId: id.nullable(),
    buildId: id.nullable(),
    counterpartStoreId: id.nullable(),
    transferId: id.nullable(),
    documentNumber: z.string(),
    reason: z.string(),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'StockEntry' });

export const stockTransfer = z
  .object({ id, entries: z.array(stockEntry) })
  .meta({ id: 'StockTransfer' });

export const stockBalance = z
  .object({
    storeId: id,
    storeCode: z.string(),
    materialId: id,
    materialCode: z.string(),
    materialName: z.string(),
    quantity: decimal,
    unitCode: materialUnitCode,
  })
  .meta({ id: 'StockBalance' });

export const stockEntryFilters = {
  storeId: id.optional(),
  materialId: id.optional(),
  buildId: id.optional(),
};

export const stockBalanceFilters = { storeId: id.optional(), materialId: id.optional() };

export type NewStockEntry = z.infer<typeof newStockEntry>;
export type NewStockTransfer = z.infer<typeof newStockTransfer>;
export type StockEntry = z.infer<typeof stockEntry>;
export type StockTransfer = z.infer<typeof stockTransfer>;
export type StockBalance = z.infer<typeof stockBalance>;
