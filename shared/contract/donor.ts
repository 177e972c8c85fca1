import { z } from 'zod';
import { code, documentFields, id, name } from './values.ts';

const fields = { code, name };

export const donor = z.object({ ...documentFields, ...fields }).meta({ id: 'Donor' });
export const newDonor = z.strictObject({ id: id.optional(), ...fields });
export const donorPatch = z.strictObject(fields).partial();

export type Donor = z.infer<typeof donor>;
export type NewDonor = z.infer<typeof newDonor>;
export type DonorPatch = z.infer<typeof donorPatch>;
