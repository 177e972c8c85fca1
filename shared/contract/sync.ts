import { z } from 'zod';
import { problemBody } from './problem.ts';
import { id, instant } from './values.ts';

export const MAX_SYNC_OPERATIONS = 200;

/** What a device may send in a batch: each is a route of its own, with `:id` for an id. */
export const FIELD_OPERATIONS = [
  '/v1/builds/:id/stage-records',
  '/v1/stage-record-batches',
  '/v1/builds/:id/inspections',
  '/v1/corrective-actions/:id/closures',
  '/v1/stock-entries',
  '/v1/stock-issues',
  '/v1/delivery-notes/:id/receipts',
  '/v1/stock-dispatches/:id/arrivals',
] as const;

const operationKey = z
  .string()
  .regex(/^[\x21-\x7e]{1,200}$/, '1 to 200 visible ASCII characters')
  .meta({ description: 'Idempotency-Key of the operation, made on the device' });

const operation = z.strictObject({
  key: operationKey,
  method: z.literal('POST'),
  path: z
    .string()
    .max(200)
    .meta({ description: `One of ${FIELD_OPERATIONS.join(', ')}` }),
  body: z
    .record(z.string(), z.unknown())
    .meta({ description: 'As the route of the path takes it' }),
  after: operationKey.optional().meta({
    description:
      'Key of an earlier operation of this batch that this one depends on: when that one is not done, this one is not tried',
  }),
});

export const syncBatch = z.strictObject({
  operations: z.array(operation).min(1).max(MAX_SYNC_OPERATIONS).meta({
    description: 'Done in this order, each in a transaction of its own; may be sent again whole',
  }),
});

export const syncResults = z
  .object({
    results: z.array(
      z.object({
        key: z.string(),
        outcome: z.enum(['done', 'done-before', 'refused', 'not-tried']),
        status: z
          .int()
          .nullable()
          .meta({ description: 'HTTP status of the route; null: not tried' }),
        body: z.record(z.string(), z.unknown()).nullable().meta({
          description: 'What the route answered, when it did what it was asked',
        }),
        problem: problemBody.nullable().meta({ description: 'Why it was refused' }),
      }),
    ),
  })
  .meta({ id: 'SyncResults', description: 'One result an operation, in the order of the request' });

export const CHANGE_NOUNS = [
  'build',
  'stage-record',
  'inspection',
  'corrective-action',
  'attachment',
  'crew',
  'store',
  'material',
  'stock-entry',
] as const;

export const changes = z
  .object({
    items: z.array(
      z.object({
        noun: z.enum(CHANGE_NOUNS),
        id,
        buildId: id.nullable(),
        version: z.int().nullable().meta({ description: 'Of documents that change' }),
        changedAt: instant,
      }),
    ),
    next: z.string().nullable().meta({
      description:
        'Give it as `after` to read on from here, also later; null: nothing ever changed',
    }),
    hasMore: z.boolean(),
  })
  .meta({
    id: 'Changes',
    description:
      'Records by their latest change. One that changes again comes again, further on; none is passed over',
  });

export type SyncBatch = z.output<typeof syncBatch>;
export type SyncResults = z.infer<typeof syncResults>;
export type SyncResult = SyncResults['results'][number];
export type ChangeNoun = (typeof CHANGE_NOUNS)[number];
export type Changes = z.infer<typeof changes>;
