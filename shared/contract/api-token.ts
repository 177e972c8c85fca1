import { z } from 'zod';
import { id, instant, name } from './values.ts';

export const apiToken = z
  .object({
    id,
    personId: id,
    name,
    ending: z.string().meta({ description: 'Last four characters, to tell tokens apart' }),
    createdAt: instant,
    expiresAt: instant.nullable(),
    lastUsedAt: instant.nullable(),
    revokedAt: instant.nullable(),
  })
  .meta({ id: 'ApiToken' });

/** A token with its secret, which is shown this once. */
export const issuedApiToken = z
  .object({
    ...apiToken.shape,
    token: z.string().nullable().meta({
      description:
        'Send as "Authorization: Bearer". Null when a repeated Idempotency-Key is answered.',
    }),
  })
  .meta({ id: 'IssuedApiToken' });

export const newApiToken = z.strictObject({
  id: id.optional(),
  name,
  expiresAt: instant
    .nullable()
    .default(null)
    .meta({ description: 'Null: until it is revoked. RFC 3339, UTC' }),
});

export type ApiToken = z.infer<typeof apiToken>;
export type IssuedApiToken = z.infer<typeof issuedApiToken>;
export type NewApiToken = z.infer<typeof newApiToken>;
