import type { AuditEntry } from '../../../shared/contract/audit-entry.ts';
import type { Tx } from '../../db/database.ts';

export interface AuditFilter {
  readonly noun?: string | undefined;
  readonly recordId?: string | undefined;
  readonly personId?: string | undefined;
}

/** Reads at most `take` entries after the key of the last one shown, newest first. */
export type ListAuditEntries = (
  tx: Tx,
  filter: AuditFilter,
  after: readonly string[] | null,
  take: number,
) => Promise<AuditEntry[]>;
