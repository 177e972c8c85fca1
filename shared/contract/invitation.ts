import { z } from 'zod';
import { newPassword } from './session.ts';
import { id, instant, name } from './values.ts';

export const ACCEPTANCE_PATH = '/v1/invitation-acceptances';

/** An invitation with its token, which is shown this once. */
export const issuedInvitation = z
  .object({
    id,
    personId: id,
    expiresAt: instant,
    token: z
      .string()
      .nullable()
      .meta({ description: 'Single use. Null when a repeated Idempotency-Key is answered.' }),
    acceptAt: z
      .literal(ACCEPTANCE_PATH)
      .meta({ description: 'Where to POST the token and the password' }),
  })
  .meta({ id: 'IssuedInvitation' });

export const newInvitationAcceptance = z.strictObject({
  token: z.string().min(20).max(200),
  password: newPassword,
});

export const invitationAcceptance = z
  .object({
    organisation: z.object({ id, name: z.string() }),
    personId: id,
    name,
    email: z.string(),
  })
  .meta({ id: 'InvitationAcceptance' });

export type IssuedInvitation = z.infer<typeof issuedInvitation>;
export type NewInvitationAcceptance = z.infer<typeof newInvitationAcceptance>;
export type InvitationAcceptance = z.infer<typeof invitationAcceptance>;
