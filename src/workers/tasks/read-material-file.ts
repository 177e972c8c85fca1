import type { MaterialImportKind } from '../../../shared/contract/material-import.ts';
import { type CheckedFile, checkFile } from '../../imports/check-file.ts';
import { ROW_CHECKS, SHAPES } from '../../modules/material-imports/shapes.ts';
import { readTable } from '../tables/read-table.ts';
import type { TableLimits } from '../tables/table.ts';

export interface MaterialFileInput {
  readonly kind: MaterialImportKind;
  readonly bytes: Uint8Array;
  readonly mediaType: string;
  readonly limits: TableLimits;
}

/** Reads a file of prices, counts or receipts and lists what is wrong with it by itself. */
export async function readMaterialFile(input: MaterialFileInput): Promise<CheckedFile> {
  const table = await readTable(input.bytes, input.mediaType, input.limits);
  return checkFile(table, SHAPES[input.kind], ROW_CHECKS[input.kind]);
}
