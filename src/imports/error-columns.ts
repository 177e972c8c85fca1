import type { ImportError } from '../../shared/contract/file-import.ts';
import type { Column } from '../http/table-export.ts';

/** The columns of an errors.csv. */
export const ERROR_COLUMNS: readonly Column<ImportError>[] = [
  { header: 'line', value: ({ line }) => line },
  { header: 'column', value: ({ column }) => column },
  { header: 'code', value: ({ code }) => code },
  { header: 'value', value: ({ value }) => value },
  { header: 'hint', value: ({ hint }) => hint },
];

/** Largest file of an import [bytes]. */
export const FILE_LIMIT_BYTES = 20 * 1024 * 1024;
/** How long a statement of an import may take. */
export const WRITING_LIMIT_MS = 60_000;
