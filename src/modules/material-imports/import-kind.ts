import type {
  MaterialImportKind,
  MaterialPreviewRow,
} from '../../../shared/contract/material-import.ts';
import type { Tx } from '../../db/database.ts';
import type { Permission } from '../../domain/permissions.ts';
import type { CheckedRow } from '../../imports/check-file.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';

/** What became of a good row. */
export interface DoneRow extends MaterialPreviewRow {
  /** What the outcome depended on; when it differs at the application, the plan is another. */
  readonly touched: unknown;
}

/** One kind of file: who may send it, and what its rows do. */
export interface ImportKind {
  readonly kind: MaterialImportKind;
  /** What the file is called in messages. */
  readonly noun: string;
  readonly maxRows: number;
  /** What may change between the dry run and the application. */
  readonly changing: string;
  /** Who may read what a file did, and who may send one. */
  readonly read: Permission;
  readonly write: Permission;
  /**
   * Does what the good rows say and lists what is wrong with any. A dry run is the same work, taken
   * back afterwards; so it can promise nothing that the application refuses.
   */
  run(
    tx: Tx,
    importId: string,
    rows: readonly CheckedRow[],
    errors: ImportErrors,
  ): Promise<DoneRow[]>;
}
