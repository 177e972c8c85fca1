import {
  siteImport,
  siteImportQuery,
  siteImportWithPreview,
} from '../../../shared/contract/site-import.ts';
import { byId } from '../../../shared/contract/values.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable, XLSX_TYPE } from '../../http/table-export.ts';
import { ERROR_COLUMNS, FILE_LIMIT_BYTES, WRITING_LIMIT_MS } from '../../imports/error-columns.ts';
import type { SiteImports } from './use-cases.ts';

/** Many sites at once from a file: first judged whole, then applied whole. */
export function siteImportRoutes(routes: Routes, imports: SiteImports): void {
  routes.route({
    method: 'POST',
    url: '/programmes/:id/site-imports',
    operationId: 'importSites',
    tag: 'Sites',
    summary:
      'Check a file of sites (dry-run), or apply it whole with the planHash of its dry run (apply)',
    permission: 'sites:write',
    params: byId,
    query: siteImportQuery,
    upload: [CSV_TYPE, XLSX_TYPE],
    bodyLimitBytes: FILE_LIMIT_BYTES,
    statementTimeoutMs: WRITING_LIMIT_MS,
    response: siteImportWithPreview,
    status: 201,
    async handle(tx, { params, query, upload }) {
      const made = await imports.run(tx, params.id, upload, query);
      return { body: made, location: `/v1/site-imports/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/site-imports/:id',
    operationId: 'getSiteImport',
    tag: 'Sites',
    summary: 'Read what a file of sites did or would have done, with its first errors',
    permission: 'sites:read',
    params: byId,
    response: siteImport,
    async handle(tx, { params }) {
      return { body: await imports.get(tx, params.id) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/site-imports/:id/errors.csv',
    operationId: 'downloadSiteImportErrors',
    tag: 'Sites',
    summary: 'Download every error of a file of sites',
    permission: 'sites:read',
    params: byId,
    mediaTypes: [CSV_TYPE],
    async handle(tx, { params }) {
      const errors = await imports.errors(tx, params.id);
      return csvTable('site-import-errors.csv', ERROR_COLUMNS, errors);
    },
  });
}
