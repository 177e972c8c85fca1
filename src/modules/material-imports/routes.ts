import {
  materialImport,
  materialImportQuery,
  materialImportWithPreview,
} from '../../../shared/contract/material-import.ts';
import { byId } from '../../../shared/contract/values.ts';
import type { Routes } from '../../http/route.ts';
import { CSV_TYPE, csvTable, XLSX_TYPE } from '../../http/table-export.ts';
import { ERROR_COLUMNS, FILE_LIMIT_BYTES, WRITING_LIMIT_MS } from '../../imports/error-columns.ts';
import type { MaterialImports } from './use-cases.ts';

const TITLES = {
  'price-list': ['PriceList', 'Offers'],
  'stock-count': ['StockCount', 'Stock'],
  receipt: ['Receipt', 'Receipts'],
} as const;

/** One kind of file: first judged whole, then applied whole. */
export function materialImportRoutes(routes: Routes, imports: MaterialImports): void {
  const { kind, noun, read, write } = imports.kind;
  const path = `/${kind}-imports`;
  const [title, tag] = TITLES[kind];
  routes.route({
    method: 'POST',
    url: path,
    operationId: `import${title}`,
    tag,
    summary: `Check a ${noun} (dry-run), or apply it whole with the planHash of its dry run (apply)`,
    permission: write,
    query: materialImportQuery,
    upload: [CSV_TYPE, XLSX_TYPE],
    bodyLimitBytes: FILE_LIMIT_BYTES,
    statementTimeoutMs: WRITING_LIMIT_MS,
    response: materialImportWithPreview,
    status: 201,
    async handle(tx, { query, upload }) {
      const made = await imports.run(tx, upload, query);
      return { body: made, location: `/v1${path}/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: `${path}/:id`,
    operationId: `get${title}Import`,
    tag,
    summary: `Read what a ${noun} did or would have done, with its first errors`,
    permission: read,
    params: byId,
    response: materialImport,
    handle: async (tx, { params }) => ({ body: await imports.get(tx, params.id) }),
  });
  routes.download({
    method: 'GET',
    url: `${path}/:id/errors.csv`,
    operationId: `download${title}ImportErrors`,
    tag,
    summary: `Download every error of a ${noun}`,
    permission: read,
    params: byId,
    mediaTypes: [CSV_TYPE],
    async handle(tx, { params }) {
      const errors = await imports.errors(tx, params.id);
      return csvTable(`${kind}-import-errors.csv`, ERROR_COLUMNS, errors);
    },
  });
}
