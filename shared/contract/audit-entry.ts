import { z } from 'zod';
import { id, instant } from './values.ts';

export const auditEntry = z
  .object({
    id,
    recordedAt: instant,
    personId: id.nullable(),
    requestId: z.string().nullable(),
    action: z.string(),
    noun: z.string(),
    recordId: z.string().nullable(),
    detail: z.record(z.string(), z.unknown()).meta({ description: 'What the action was given' }),
  })
  .meta({ id: 'AuditEntry' });

export type AuditEntry = z.infer<typeof auditEntry>;
