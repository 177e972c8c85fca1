import { z } from 'zod';
import { fileFacts, importQuery, PREVIEW_ROWS, previewChanges } from './file-import.ts';
import { code, id, instant } from './values.ts';

export const siteImportQuery = importQuery('sites');

const previewRow = z.object({
  line: z.int(),
  code,
  action: z.enum(['create', 'update', 'unchanged']),
  siteId: id.nullable().meta({ description: 'null for a site that a dry run would make' }),
  changes: previewChanges,
  contact: z.enum(['none', 'set', 'unchanged']).meta({
    description: 'What happens to the contact; its data are not repeated',
  }),
});

export const siteImport = z
  .object({ id, programmeId: id, ...fileFacts, requestedById: id, createdAt: instant })
  .meta({ id: 'SiteImport' });

export const siteImportWithPreview = z
  .object({
    ...siteImport.shape,
    preview: z.array(previewRow).meta({ description: `The first ${PREVIEW_ROWS} good rows` }),
  })
  .meta({ id: 'SiteImportWithPreview' });

export type SiteImportQuery = z.infer<typeof siteImportQuery>;
export type ImportPreviewRow = z.infer<typeof previewRow>;
export type SiteImport = z.infer<typeof siteImport>;
export type SiteImportWithPreview = z.infer<typeof siteImportWithPreview>;
