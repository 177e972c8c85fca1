import type { Tx } from '../../db/database.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';
import { NO_LOT } from './stock-count-columns.ts';

const LOTS_SQL = `
  select material_id, code, id from stock_lot where organisation_id = $1 and code = any($2)`;

/** Lots by material and code, as a file names them. */
export interface KnownLots {
  /** Undefined when the cell names none, null for stock without a lot; an unknown code is an error. */
  idOf(
    line: number,
    materialId: string,
    code: string | null | undefined,
    errors: ImportErrors,
  ): string | null | undefined;
}

export async function knownLots(tx: Tx, codes: readonly string[]): Promise<KnownLots> {
  const rows = await tx.sql<{ material_id: string; code: string; id: string }>(LOTS_SQL, [
    tx.organisationId,
    codes,
  ]);
  const ids = new Map(rows.map(({ material_id, code, id }) => [`${material_id} ${code}`, id]));
  return {
    idOf(line, materialId, code, errors) {
      if (code === null || code === undefined) return undefined;
      if (code === NO_LOT) return null;
      const id = ids.get(`${materialId} ${code}`);
      if (id === undefined) {
        const hint = 'there is no such lot of this material; record it first (stock-lots)';
        errors.add(line, 'lot_code', { code: 'lot.unknown', hint }, code);
      }
      return id;
    },
  };
}
