import { z } from 'zod';
import { civilDate, id, instant, shortText } from './values.ts';

/** Nouns of the records that may carry pictures. */
export const ATTACHMENT_NOUNS = [
  'site',
  'build',
  'stage-record',
  'inspection',
  'order',
  'cost-entry',
  'contribution',
] as const;

export const IMAGE_MEDIA_TYPES = ['image/jpeg', 'image/png', 'image/webp'] as const;

export const attachment = z
  .object({
    id,
    noun: z.enum(ATTACHMENT_NOUNS),
    recordId: id,
    fileName: z.string(),
    mediaType: z.enum(IMAGE_MEDIA_TYPES),
    byteCount: z.int(),
    sha256: z.string().meta({ description: 'Of the stored bytes, hexadecimal' }),
    takenOn: civilDate.nullable(),
    caption: z.string(),
    uploadedById: id,
    createdAt: instant,
  })
  .meta({
    id: 'Attachment',
    description: 'A picture of a record, stored without place, device or other hidden data',
  });

export const newAttachmentQuery = z.strictObject({
  id: id.optional(),
  noun: z.enum(ATTACHMENT_NOUNS),
  recordId: id,
  fileName: z.string().max(300).default('picture'),
  caption: shortText.default(''),
  takenOn: civilDate.optional(),
});

export type AttachmentNoun = (typeof ATTACHMENT_NOUNS)[number];
export type ImageMediaType = (typeof IMAGE_MEDIA_TYPES)[number];
export type Attachment = z.infer<typeof attachment>;
export type NewAttachmentQuery = z.infer<typeof newAttachmentQuery>;
