import { z } from 'zod';
import { code, id, instant } from './values.ts';

/** How many errors of a file an answer spells out; all of them are in its errors.csv. */
export const INLINE_ERRORS = 1_000;
/** How many rows the preview of a file shows. */
export const PREVIEW_ROWS = 50;

export const siteImportQuery = z
  .strictObject({
    mode: z.enum(['dry-run', 'apply']).default('dry-run'),
    planHash: z.string().max(100).optional().meta({
      description: 'The planHash of the dry run; needed to apply',
    }),
    fileName: z.string().max(300).default('sites').meta({
      description: 'Name of the file, to recognise the import by',
    }),
  })
  .refine(({ mode, planHash }) => mode !== 'apply' || planHash !== undefined, {
    path: ['planHash'],
    message: 'is needed to apply: it is in the answer of the dry run',
  });

export const importError = z
  .object({
    line: z.int().meta({ description: 'Line of the text file or row of the sheet, from 1' }),
    column: z.string(),
    code: z.string(),
    value: z.string().nullable().meta({
      description: 'What stands there; null for personal data, which are not repeated',
    }),
    hint: z.string(),
  })
  .meta({ id: 'ImportError' });

const fieldValue = z.union([z.string(), z.number(), z.null()]);

const previewRow = z.object({
  line: z.int(),
  code,
  action: z.enum(['create', 'update', 'unchanged']),
  siteId: id.nullable().meta({ description: 'null for a site that a dry run would make' }),
  changes: z.array(z.object({ field: z.string(), from: fieldValue, to: fieldValue })),
  contact: z.enum(['none', 'set', 'unchanged']).meta({
    description: 'What happens to the contact; its data are not repeated',
  }),
});

export const siteImport = z
  .object({
    id,
    programmeId: id,
    mode: z.enum(['dry-run', 'apply']),
    state: z.enum(['checked', 'applied', 'rejected']),
    fileName: z.string(),
    fileSha256: z.string(),
    rowCount: z.int(),
    errorCount: z.int(),
    createdCount: z.int(),
    updatedCount: z.int(),
    unchangedCount: z.int(),
    planHash: z.string(),
    errors: z.array(importError).meta({ description: `The first ${INLINE_ERRORS}` }),
    requestedById: id,
    createdAt: instant,
  })
  .meta({ id: 'SiteImport' });

export const siteImportWithPreview = z
  .object({
    ...siteImport.shape,
    preview: z.array(previewRow).meta({ description: `The first ${PREVIEW_ROWS} good rows` }),
  })
  .meta({ id: 'SiteImportWithPreview' });

export type SiteImportQuery = z.infer<typeof siteImportQuery>;
export type ImportError = z.infer<typeof importError>;
export type ImportPreviewRow = z.infer<typeof previewRow>;
export type SiteImport = z.infer<typeof siteImport>;
export type SiteImportWithPreview = z.infer<typeof siteImportWithPreview>;
