import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { civilDate, decimal, id, instant, positiveDecimal, shortText } from './values.ts';

const LARGEST_QUANTITY = 1e9;

const isNotTooLarge = (text: string) => Number(text) < LARGEST_QUANTITY;
const TOO_LARGE = 'must be below 1,000,000,000';

export const stockQuantity = positiveDecimal
  .refine(isNotTooLarge, TOO_LARGE)
  .meta({ description: "In the material's unit, above 0" });

const quantity = stockQuantity;

export const notNegativeStockQuantity = decimal
  .refine((text) => !text.startsWith('-'), 'must not be negative')
  .refine(isNotTooLarge, TOO_LARGE);

const countedQuantity = notNegativeStockQuantity.meta({
  description: "What was counted, in the material's unit",
});

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

/** Left out: the service finds the lot. Null: stock that was never given a lot. */
const lotId = id.nullable().optional().meta({
  description:
    'Lot; null names stock without a lot. Left out, the first expiring lot that alone suffices',
});

export const stageCode = z
  .string()
  .trim()
  .min(1)
  .max(60)
  .meta({ description: 'Stage of the build that it is for' });

export const newStockEntry = z.discriminatedUnion('kind', [
  z.strictObject({
    ...posting,
    kind: z.literal('receive'),
    quantity,
    lotId: lotId.meta({
      description: 'Needed for a material whose lots are told apart; null or left out: no lot',
    }),
    orderLineId: id.optional(),
    excessReason: reason.optional().meta({
      description: 'Why more is taken in than was ordered; without it the excess is refused',
    }),
  }),
  z.strictObject({
    ...posting,
    kind: z.literal('issue'),
    quantity,
    buildId: id,
    lotId,
    stageCode: stageCode.optional(),
  }),
  z.strictObject({
    ...posting,
    kind: z.literal('return'),
    quantity,
    buildId: id,
    lotId: lotId.meta({
      description: 'May be left out when the build holds one lot only; null: stock without a lot',
    }),
    reason: shortText.default(''),
  }),
  z
    .strictObject({ ...posting, kind: z.literal('write-off'), quantity, reason })
    .meta({ description: 'Always refused: a write-off takes two people, see /write-offs' }),
  z.strictObject({
    ...posting,
    kind: z.literal('count'),
    countedQuantity,
    lotId: lotId.meta({
      description: 'Lot counted; null: the stock without a lot. Needed where the store holds lots',
    }),
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
    lotId: lotId.meta({
      description:
        'Lot; null: stock without a lot. Left out, the first expiring usable lot that alone suffices. A lot that may not be used may still be moved when it is named',
    }),
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
    lotId: id.nullable(),
    stageCode: z.string().nullable(),
    issueId: id.nullable().meta({ description: 'The issue slip that it is part of' }),
    receiptLineId: id.nullable(),
    dispatchLineId: id.nullable(),
    writeOffRequestId: id.nullable(),
    documentNumber: z.string(),
    reason: z.string(),
    recordedById: id,
    recordedAt: instant,
  })
  .meta({ id: 'StockEntry' });

export const stockTransfer = z
  .object({ id, entries: z.array(stockEntry) })
  .meta({ id: 'StockTransfer' });

const MAX_SLIP_LINES = 100;

export const newStockIssue = z.strictObject({
  id: id.optional().meta({ description: 'A slip that is sent again with its id counts once' }),
  storeId: id,
  buildId: id,
  observedOn: civilDate,
  documentNumber: posting.documentNumber,
  lines: z
    .array(
      z.strictObject({
        materialId: id,
        quantity,
        lotId: lotId.meta({
          description: 'Lot; null: stock without a lot. Left out, first expiring, first out',
        }),
        stageCode: stageCode.optional(),
      }),
    )
    .min(1)
    .max(MAX_SLIP_LINES),
});

/** One issue slip: an entry for each lot that was taken. */
export const stockIssue = z
  .object({
    id,
    storeId: id,
    buildId: id,
    observedOn: civilDate,
    documentNumber: z.string(),
    entries: z.array(stockEntry),
  })
  .meta({ id: 'StockIssue' });

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
  lotId: id.optional(),
};

export const stockBalanceFilters = { storeId: id.optional(), materialId: id.optional() };

export type NewStockEntry = z.infer<typeof newStockEntry>;
export type NewStockTransfer = z.infer<typeof newStockTransfer>;
export type NewStockIssue = z.infer<typeof newStockIssue>;
export type StockIssue = z.infer<typeof stockIssue>;
export type StockEntry = z.infer<typeof stockEntry>;
export type StockTransfer = z.infer<typeof stockTransfer>;
export type StockBalance = z.infer<typeof stockBalance>;
