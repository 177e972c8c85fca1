import { z } from 'zod';
import { civilDate, code, documentFields, id, longText, name, notNegativeMoney } from './values.ts';

const fields = {
  programmeId: id,
  donorId: id,
  code,
  title: name,
  amount: notNegativeMoney,
  startsOn: civilDate,
  endsOn: civilDate,
  ratePolicy: z.enum(['transaction-date', 'period-average', 'fixed']).meta({
    description: "Which exchange rate turns a cost into the grant's currency",
  }),
  restrictions: longText.default('').meta({ description: 'What the money may not be spent on' }),
};

export const grant = z.object({ ...documentFields, ...fields }).meta({ id: 'Grant' });

export const newGrant = z
  .strictObject({ id: id.optional(), ...fields })
  .refine(({ startsOn, endsOn }) => endsOn >= startsOn, {
    path: ['endsOn'],
    message: 'must not be before startsOn',
  });

export const grantPatch = z
  .strictObject({ ...fields, restrictions: fields.restrictions.unwrap() })
  .omit({ programmeId: true, donorId: true })
  .partial();

export const grantFilters = { programmeId: id.optional() };

export type Grant = z.infer<typeof grant>;
export type NewGrant = z.infer<typeof newGrant>;
export type GrantPatch = z.infer<typeof grantPatch>;
