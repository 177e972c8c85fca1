import { z } from 'zod';
import { place } from './place.ts';
import { code, documentFields, id, name } from './values.ts';

const fields = { code, name, place };

export const supplier = z.object({ ...documentFields, ...fields }).meta({ id: 'Supplier' });
export const newSupplier = z.strictObject({ id: id.optional(), ...fields });
export const supplierPatch = z.strictObject(fields).partial();

export type Supplier = z.infer<typeof supplier>;
export type NewSupplier = z.infer<typeof newSupplier>;
export type SupplierPatch = z.infer<typeof supplierPatch>;
