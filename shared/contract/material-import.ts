import { z } from 'zod';
import { fileFacts, importQuery, PREVIEW_ROWS, previewChanges } from './file-import.ts';
import { id, instant } from './values.ts';

export const MATERIAL_IMPORT_KINDS = ['price-list', 'stock-count', 'receipt'] as const;
export type MaterialImportKind = (typeof MATERIAL_IMPORT_KINDS)[number];

export const materialImportQuery = importQuery('file');

const previewRow = z.object({
  line: z.int(),
  label: z.string().meta({ description: 'What the row speaks of, by its codes' }),
  action: z.enum(['create', 'update', 'unchanged']),
  changes: previewChanges,
});

/** What a file of prices, counts or receipts did or would have done. */
export const materialImport = z
  .object({
    id,
    kind: z.enum(MATERIAL_IMPORT_KINDS),
    ...fileFacts,
    requestedById: id,
    createdAt: instant,
  })
  .meta({ id: 'MaterialImport' });

export const materialImportWithPreview = z
  .object({
    ...materialImport.shape,
    preview: z.array(previewRow).meta({ description: `The first ${PREVIEW_ROWS} good rows` }),
  })
  .meta({ id: 'MaterialImportWithPreview' });

export type MaterialImportQuery = z.infer<typeof materialImportQuery>;
export type MaterialImport = z.infer<typeof materialImport>;
export type MaterialImportWithPreview = z.infer<typeof materialImportWithPreview>;
export type MaterialPreviewRow = z.infer<typeof previewRow>;
