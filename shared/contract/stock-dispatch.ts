import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { notNegativeStockQuantity, stockQuantity } from './stock.ts';
import { civilDate, decimal, id, instant, shortText } from './values.ts';

const MOST_LINES = 100;

export const newStockDispatch = z
  .strictObject({
    id: id.optional(),
    fromStoreId: id,
    toStoreId: id,
    noteNumber: shortText.min(1).meta({ description: 'Number of the waybill, unique' }),
    dispatchedOn: civilDate,
    vehicle: shortText.default(''),
    reason: shortText.default(''),
    lines: z
      .array(
        z.strictObject({
          materialId: id,
          quantity: stockQuantity,
          lotId: id.nullable().optional().meta({
            description:
              'Lot; null: stock without a lot. Left out, usable lots, first expiring first; a lot that may not be used may be sent when it is named',
          }),
        }),
      )
      .min(1)
      .max(MOST_LINES),
  })
  .refine(({ fromStoreId, toStoreId }) => fromStoreId !== toStoreId, {
    path: ['toStoreId'],
    message: 'must be another store than fromStoreId',
  });

const counted = {
  goodQuantity: decimal,
  damagedQuantity: decimal,
  missingQuantity: decimal,
  excessQuantity: decimal,
  remarks: z.string(),
};

export const newStockArrival = z.strictObject({
  id: id.optional(),
  arrivedOn: civilDate,
  remarks: shortText.default(''),
  lines: z
    .array(
      z.strictObject({
        dispatchLineId: id,
        goodQuantity: notNegativeStockQuantity,
        damagedQuantity: notNegativeStockQuantity.default('0'),
        missingQuantity: notNegativeStockQuantity.default('0'),
        excessQuantity: notNegativeStockQuantity.default('0'),
        remarks: shortText
          .default('')
          .meta({ description: 'Needed when something is damaged, missing or in excess' }),
      }),
    )
    .min(1)
    .max(10 * MOST_LINES)
    .meta({ description: 'Every line of the dispatch once' }),
});

/** Goods on their way from one store to another, and what of them arrived. */
export const stockDispatch = z
  .object({
    id,
    fromStoreId: id,
    fromStoreCode: z.string(),
    toStoreId: id,
    toStoreCode: z.string(),
    noteNumber: z.string(),
    dispatchedOn: civilDate,
    vehicle: z.string(),
    reason: z.string(),
    dispatchedById: id,
    recordedAt: instant,
    lines: z.array(
      z.object({
        id,
        materialId: id,
        materialCode: z.string(),
        lotId: id.nullable(),
        lotCode: z.string().nullable(),
        unitCode: materialUnitCode,
        dispatchedQuantity: decimal,
        arrived: z.object(counted).nullable(),
      }),
    ),
    arrival: z
      .object({
        id,
        arrivedOn: civilDate,
        remarks: z.string(),
        receivedById: id,
        recordedAt: instant,
      })
      .nullable()
      .meta({ description: 'Null while it is on the road' }),
  })
  .meta({ id: 'StockDispatch' });

export const stockDispatchFilters = {
  fromStoreId: id.optional(),
  toStoreId: id.optional(),
  isOnTheRoad: z.stringbool().optional(),
};

export type NewStockDispatch = z.infer<typeof newStockDispatch>;
export type NewStockArrival = z.infer<typeof newStockArrival>;
export type StockDispatch = z.infer<typeof stockDispatch>;
