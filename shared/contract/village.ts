import { z } from 'zod';
import { pointFields, pointIsWhole } from './place.ts';
import { code, documentFields, id, name } from './values.ts';

const road = z.strictObject({
  storeId: id,
  roadKm: z.number().min(0).max(10_000).meta({ description: 'By road, one way' }),
});

const roads = z
  .array(road)
  .max(200)
  .superRefine((list, context) => {
    const seen = new Set<string>();
    list.forEach(({ storeId }, index) => {
      if (seen.has(storeId)) {
        context.addIssue({ code: 'custom', path: [index, 'storeId'], message: 'occurs twice' });
      }
      seen.add(storeId);
    });
  });

const EVERY_MONTH = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];

const fields = {
  code,
  name,
  district: z.string().trim().min(1).max(200),
  ...pointFields,
  reachableMonths: z
    .array(z.int().min(1).max(12))
    .max(12)
    .overwrite((months) => [...new Set(months)].sort((a, b) => a - b))
    .default(EVERY_MONTH)
    .meta({ description: 'Months in which a loaded truck gets through, January 1' }),
  rainStationId: id.nullable().default(null),
  noWorkWeekdays: z
    .array(z.int().min(1).max(7))
    .max(6)
    .overwrite((days) => [...new Set(days)].sort((a, b) => a - b))
    .default([])
    .meta({ description: 'ISO 8601 weekdays without work here, such as the market day' }),
  roads: roads.default([]).meta({ description: 'Roads to stores; replaced whole when given' }),
};

export const village = z
  .object({ ...documentFields, ...fields, roads: z.array(road) })
  .meta({ id: 'Village' });

export const newVillage = z.strictObject({ id: id.optional(), ...fields }).check(pointIsWhole);

export const villagePatch = z
  .strictObject({
    ...fields,
    latDeg: fields.latDeg.unwrap(),
    lonDeg: fields.lonDeg.unwrap(),
    reachableMonths: fields.reachableMonths.unwrap(),
    rainStationId: fields.rainStationId.unwrap(),
    noWorkWeekdays: fields.noWorkWeekdays.unwrap(),
    roads: fields.roads.unwrap(),
  })
  .partial()
  .check(pointIsWhole);

export type Village = z.infer<typeof village>;
export type VillageRoad = z.infer<typeof road>;
export type NewVillage = z.infer<typeof newVillage>;
export type VillagePatch = z.infer<typeof villagePatch>;
