import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { civilDate, decimal, id, instant, money, notNegativeMoney, shortText } from './values.ts';

const kind = z.enum(['damaged', 'missing', 'excess']);

export const claimStatus = z
  .enum(['open', 'credited', 'replaced', 'returned', 'bought', 'rejected'])
  .meta({
    description:
      'credited: a credit note; replaced: sent anew; returned: taken back; bought: an excess that is kept and paid; rejected: the supplier does not answer for it',
  });

export const claim = z
  .object({
    id,
    version: z.int(),
    code: z.string(),
    orderId: id,
    orderCode: z.string(),
    receiptId: id,
    receiptLineId: id,
    supplierId: id,
    supplierCode: z.string(),
    materialId: id,
    materialCode: z.string(),
    unitCode: materialUnitCode,
    kind,
    quantity: decimal,
    amount: money.meta({ description: 'At the price of the order' }),
    status: claimStatus,
    claimedOn: civilDate,
    settledOn: civilDate.nullable(),
    settlementNote: z.string(),
    creditedAmount: money.nullable(),
    raisedById: id,
    createdAt: instant,
  })
  .meta({ id: 'Claim' });

export const newClaimSettlement = z
  .strictObject({
    status: claimStatus.exclude(['open']),
    settledOn: civilDate.optional().meta({ description: 'Today when left out' }),
    creditedAmount: notNegativeMoney.optional(),
    note: shortText.min(1).meta({ description: 'Number of the credit note or delivery, or why' }),
  })
  .refine(
    ({ status, creditedAmount }) => (status === 'credited') === (creditedAmount !== undefined),
    {
      path: ['creditedAmount'],
      message: 'is needed when credited, and only then',
    },
  );

export const claimFilters = {
  orderId: id.optional(),
  supplierId: id.optional(),
  status: claimStatus.optional(),
};

export type Claim = z.infer<typeof claim>;
export type NewClaimSettlement = z.infer<typeof newClaimSettlement>;
