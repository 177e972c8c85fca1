import { z } from 'zod';

/** How many errors of a file an answer spells out; all of them are in its errors.csv. */
export const INLINE_ERRORS = 1_000;
/** How many rows the preview of a file shows. */
export const PREVIEW_ROWS = 50;

/** The query of every import: a dry run first, then the same file again with its planHash. */
export const importQuery = (fileName: string) =>
  z
    .strictObject({
      mode: z.enum(['dry-run', 'apply']).default('dry-run'),
      planHash: z.string().max(100).optional().meta({
        description: 'The planHash of the dry run; needed to apply',
      }),
      fileName: z.string().max(300).default(fileName).meta({
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

export const previewChanges = z.array(
  z.object({ field: z.string(), from: fieldValue, to: fieldValue }),
);

/** What every import says of its file and of its outcome. */
export const fileFacts = {
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
};

export type ImportQuery = z.infer<ReturnType<typeof importQuery>>;
export type ImportError = z.infer<typeof importError>;
export type PreviewChanges = z.infer<typeof previewChanges>;
