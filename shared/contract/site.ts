import { z } from 'zod';
import { ROOF_KINDS } from '../hydrology/roof-kinds.ts';
import { SOIL_CLASSES } from '../structure/soil-bearing.ts';
import { civilDate, code, documentFields, id, instant, latDeg, lonDeg, ratio } from './values.ts';

export const SITE_KINDS = ['household', 'school', 'clinic', 'community'] as const;

/** The facts of a site that a form, a file and the service check alike. */
export const siteFacts = {
  code,
  kind: z.enum(SITE_KINDS),
  roofAreaM2: z.number().gt(0).max(100_000).meta({ description: 'Plan area of the roof' }),
  roofKind: z.enum(ROOF_KINDS),
  runoffCoefficient: ratio.gt(0).nullable().meta({
    description: 'Measured or agreed for this roof; null takes the value of its kind',
  }),
  peopleServed: z.int().min(0).max(1_000_000),
  litresPerPersonPerDay: z.number().gt(0).max(500).nullable().meta({
    description: 'null takes the value of the programme',
  }),
  demandLPerDay: z.number().gt(0).max(1_000_000).nullable().meta({
    description: 'Stated outright, in place of people times their daily water',
  }),
  groundClass: z.enum(SOIL_CLASSES).nullable().meta({ description: 'null: not yet examined' }),
  agreedOn: civilDate.nullable().meta({ description: 'Day on which the people there agreed' }),
};

const fields = {
  villageId: id,
  ...siteFacts,
  runoffCoefficient: siteFacts.runoffCoefficient.default(null),
  litresPerPersonPerDay: siteFacts.litresPerPersonPerDay.default(null),
  demandLPerDay: siteFacts.demandLPerDay.default(null),
  groundClass: siteFacts.groundClass.default(null),
  agreedOn: siteFacts.agreedOn.default(null),
};

export const site = z
  .object({ ...documentFields, programmeId: id, villageId: id, ...siteFacts })
  .meta({ id: 'Site', description: 'A place for one tank; who lives there is kept apart' });

export const newSite = z.strictObject({ id: id.optional(), programmeId: id, ...fields });

export const sitePatch = z.strictObject({ villageId: id, ...siteFacts }).partial();

const visibleText = (most: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(most)
    .regex(/^[^\p{Cc}\p{Surrogate}]*$/u, 'must not hold control characters');

/** The personal data of a site, each kept only with consent. */
export const contactFacts = {
  contactName: visibleText(200),
  phone: visibleText(50),
  latDeg,
  lonDeg,
};

export const PERSONAL_FIELDS = ['contactName', 'phone', 'latDeg', 'lonDeg'] as const;

export const siteContact = z
  .object({
    siteId: id,
    version: z.int(),
    contactName: z.string().nullable(),
    phone: z.string().nullable(),
    latDeg: z.number().nullable(),
    lonDeg: z.number().nullable(),
    consentGiven: z.boolean(),
    consentOn: civilDate.nullable(),
    photoConsentGiven: z.boolean(),
    retainUntil: civilDate.nullable(),
    updatedAt: instant,
  })
  .meta({ id: 'SiteContact' });

export const newSiteContact = z.strictObject({
  contactName: contactFacts.contactName.nullable().default(null),
  phone: contactFacts.phone.nullable().default(null),
  latDeg: contactFacts.latDeg.nullable().default(null),
  lonDeg: contactFacts.lonDeg.nullable().default(null),
  consentGiven: z.boolean(),
  consentOn: civilDate
    .nullable()
    .default(null)
    .meta({ description: 'Day of the consent; today when it is given and not dated' }),
  photoConsentGiven: z.boolean().default(false),
  retainUntil: civilDate
    .nullable()
    .default(null)
    .meta({ description: 'Last day on which the data are needed' }),
});

export const contactErased = z
  .object({
    siteId: id,
    isErased: z.literal(true),
    purgedAnswerCount: z.int().meta({
      description: 'Stored answers of earlier requests that held the data and were emptied',
    }),
  })
  .meta({ id: 'ContactErased' });

export type Site = z.infer<typeof site>;
export type NewSite = z.infer<typeof newSite>;
export type SitePatch = z.infer<typeof sitePatch>;
export type SiteContact = z.infer<typeof siteContact>;
export type NewSiteContact = z.infer<typeof newSiteContact>;
export type ContactErased = z.infer<typeof contactErased>;
