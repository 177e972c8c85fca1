import { type CheckedRows, checkRows } from '../../modules/site-imports/check-rows.ts';
import { readTable } from '../tables/read-table.ts';
import type { TableLimits } from '../tables/table.ts';

export interface SiteFileInput {
  readonly bytes: Uint8Array;
  readonly mediaType: string;
  readonly limits: TableLimits;
  /** Consent cannot be dated after it. */
  readonly today: string;
}

/** Reads a file of sites and lists all that is wrong with it, as far as the file alone can tell. */
export async function readSiteFile(input: SiteFileInput): Promise<CheckedRows> {
  return checkRows(await readTable(input.bytes, input.mediaType, input.limits), input.today);
}
