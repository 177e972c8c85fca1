import { z } from 'zod';
import { place, pointFields, pointIsWhole } from './place.ts';
import { code, documentFields, id, name } from './values.ts';

const fields = { code, name, place, ...pointFields };

export const store = z.object({ ...documentFields, ...fields }).meta({ id: 'Store' });

export const newStore = z.strictObject({ id: id.optional(), ...fields }).check(pointIsWhole);

export const storePatch = z
  .strictObject({
    ...fields,
    latDeg: fields.latDeg.unwrap(),
    lonDeg: fields.lonDeg.unwrap(),
  })
  .partial()
  .check(pointIsWhole);

export type Store = z.infer<typeof store>;
export type NewStore = z.infer<typeof newStore>;
export type StorePatch = z.infer<typeof storePatch>;
