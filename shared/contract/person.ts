import { z } from 'zod';
import { issuedInvitation } from './invitation.ts';
import { documentFields, id, instant, name } from './values.ts';

export const email = z
  .email('must be an e-mail address')
  .max(254)
  .toLowerCase()
  .meta({ description: 'E-mail address; kept in lower case' });

export const role = z
  .enum([
    'admin',
    'coordinator',
    'supervisor',
    'storekeeper',
    'engineer',
    'inspector',
    'donor',
    'integrator',
  ])
  .meta({ id: 'Role' });

const roles = z
  .array(role)
  .min(1)
  .max(8)
  .refine((given) => new Set(given).size === given.length, 'names a role twice');

const fields = {
  name,
  roles,
  donorId: id
    .nullable()
    .optional()
    .meta({ description: 'The donor whose grants a person with the role donor may see' }),
  engineerRegistrationNumber: z
    .string()
    .trim()
    .min(1)
    .max(100)
    .nullable()
    .optional()
    .meta({ description: 'Registration with the engineers’ board; needed for the role engineer' }),
};

export const person = z
  .object({
    ...documentFields,
    name,
    email,
    roles,
    donorId: id.nullable(),
    engineerRegistrationNumber: z.string().nullable(),
    hasAccount: z
      .boolean()
      .meta({ description: 'False until the person has accepted an invitation' }),
    isDisabled: z.boolean(),
    disabledAt: instant.nullable(),
  })
  .meta({ id: 'Person' });

export const invitedPerson = z
  .object({ ...person.shape, invitation: issuedInvitation })
  .meta({ id: 'InvitedPerson' });

export const newPerson = z.strictObject({ id: id.optional(), email, ...fields });

export const personPatch = z
  .strictObject({
    ...fields,
    isDisabled: z.boolean().meta({
      description: 'True ends all access at once: sessions, API tokens and open invitations',
    }),
  })
  .partial();

export type Person = z.infer<typeof person>;
export type InvitedPerson = z.infer<typeof invitedPerson>;
export type NewPerson = z.infer<typeof newPerson>;
export type PersonPatch = z.infer<typeof personPatch>;
