import { z } from 'zod';
import { materialUnitCode } from './material.ts';
import { stockEntry, stockQuantity } from './stock.ts';
import { civilDate, decimal, id, instant, shortText } from './values.ts';

export const newWriteOff = z.strictObject({
  id: id.optional(),
  storeId: id,
  materialId: id,
  lotId: id.nullable().optional().meta({
    description: 'Lot; null: stock without a lot. Needed where the store holds lots',
  }),
  quantity: stockQuantity,
  observedOn: civilDate,
  reason: shortText.min(1),
  documentNumber: shortText.default(''),
});

export const newWriteOffDecision = z.strictObject({
  decision: z.enum(['approved', 'refused']),
  remarks: shortText.default(''),
});

/** A request to write stock off, and what another person decided. */
export const writeOff = z
  .object({
    id,
    storeId: id,
    storeCode: z.string(),
    materialId: id,
    materialCode: z.string(),
    lotId: id.nullable(),
    lotCode: z.string().nullable(),
    quantity: decimal,
    unitCode: materialUnitCode,
    observedOn: civilDate,
    reason: z.string(),
    documentNumber: z.string(),
    requestedById: id,
    requestedAt: instant,
    state: z.enum(['requested', 'approved', 'refused']),
    decisionRemarks: z.string().nullable(),
    decidedById: id.nullable(),
    decidedAt: instant.nullable(),
  })
  .meta({ id: 'WriteOff' });

export const decidedWriteOff = z
  .object({
    writeOff,
    entry: stockEntry.nullable().meta({ description: 'What left the ledger; null when refused' }),
  })
  .meta({ id: 'DecidedWriteOff' });

export const writeOffFilters = { storeId: id.optional(), state: writeOff.shape.state.optional() };

export type NewWriteOff = z.infer<typeof newWriteOff>;
export type NewWriteOffDecision = z.infer<typeof newWriteOffDecision>;
export type WriteOff = z.infer<typeof writeOff>;
export type DecidedWriteOff = z.infer<typeof decidedWriteOff>;
