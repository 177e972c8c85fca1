import { z } from 'zod';
import { latDeg, lonDeg } from './values.ts';

/** Where something is, in words. */
export const place = z.string().trim().min(1).max(200);

/** A point on the map, WGS 84, kept to 5 decimals of a degree; null when nobody has measured it. */
export const pointFields = {
  latDeg: latDeg.nullable().default(null),
  lonDeg: lonDeg.nullable().default(null),
};

interface Point {
  latDeg?: number | null | undefined;
  lonDeg?: number | null | undefined;
}

const given = (value: number | null | undefined) => (value === null ? 'null' : typeof value);

/** Latitude and longitude come together: both, neither, or both null. */
export const pointIsWhole = z.superRefine<Point>(({ latDeg, lonDeg }, context) => {
  if (given(latDeg) === given(lonDeg)) return;
  context.addIssue({
    code: 'custom',
    path: [typeof latDeg === 'number' ? 'lonDeg' : 'latDeg'],
    message: 'latitude and longitude come together',
  });
});
