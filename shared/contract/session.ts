import { z } from 'zod';
import { id, instant } from './values.ts';

export const MIN_PASSWORD_LENGTH = 10;
export const MAX_PASSWORD_LENGTH = 200;

const password = z.string().min(1).max(MAX_PASSWORD_LENGTH);

export const newPassword = z.string().min(MIN_PASSWORD_LENGTH).max(MAX_PASSWORD_LENGTH).meta({
  description: 'At least 10 characters, any characters; not the e-mail address',
  format: 'password',
});

export const newSession = z.strictObject({
  email: z.string().trim().toLowerCase().min(1).max(254),
  password,
  organisationId: id.optional().meta({
    description: 'Needed only by people who belong to several organisations',
  }),
  deviceName: z.string().trim().max(80).default('').meta({
    description: 'What you call this device, so that you can end its session when it is lost',
  }),
});

export const session = z
  .object({
    id,
    personId: id,
    deviceName: z.string(),
    createdAt: instant,
    lastSeenAt: instant,
    expiresAt: instant,
    revokedAt: instant.nullable(),
    isCurrent: z.boolean(),
  })
  .meta({ id: 'Session' });

/** Who the credential of a request belongs to, and what it may do. */
export const signedIn = z
  .object({
    person: z.object({
      id,
      name: z.string(),
      email: z.string(),
      roles: z.array(z.string()),
      donorId: id.nullable(),
      engineerRegistrationNumber: z.string().nullable(),
    }),
    permissions: z.array(z.string()),
    organisation: z.object({ id, name: z.string(), timeZone: z.string() }),
    session: session.nullable().meta({ description: 'Null for a request with an API token' }),
  })
  .meta({ id: 'SignedIn' });

export const newPasswordChange = z.strictObject({ currentPassword: password, newPassword });

export const passwordChange = z
  .object({
    changedAt: instant,
    revokedSessionCount: z
      .int()
      .meta({ description: 'Other sessions of the account that this ended, in any organisation' }),
  })
  .meta({ id: 'PasswordChange' });

export type NewSession = z.input<typeof newSession>;
export type Session = z.infer<typeof session>;
export type SignedIn = z.infer<typeof signedIn>;
export type NewPasswordChange = z.infer<typeof newPasswordChange>;
export type PasswordChange = z.infer<typeof passwordChange>;
