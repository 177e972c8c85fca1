import type { Tx } from '../../db/database.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';
import { nearest } from '../../workers/tables/cell-values.ts';

/** Unknown codes beyond this many get no suggestion; comparing codes takes its time. */
const MAX_SUGGESTIONS = 100;

const SQL_OF = {
  supplier: 'select code, id from supplier where organisation_id = $1',
  material: 'select code, id from material where organisation_id = $1',
  store: 'select code, id from store where organisation_id = $1',
} as const;

/** The records of one noun by their codes, as a column of a file names them. */
export interface KnownCodes {
  /** The id of a code; null when there is none, which is listed as an error of the line. */
  idOf(line: number, code: unknown, errors: ImportErrors): string | null;
}

export async function knownCodes(tx: Tx, noun: keyof typeof SQL_OF): Promise<KnownCodes> {
  const rows = await tx.sql<{ code: string; id: string }>(SQL_OF[noun], [tx.organisationId]);
  const ids = new Map(rows.map(({ code, id }) => [code, id]));
  const codes = [...ids.keys()];
  const hints = new Map<string, string>();
  const hintFor = (code: string) => {
    const known = hints.get(code);
    if (known !== undefined) return known;
    const near = hints.size < MAX_SUGGESTIONS ? nearest(code, codes) : null;
    const hint = `there is no such ${noun}${near ? `; did you mean ${near}?` : ''}`;
    hints.set(code, hint);
    return hint;
  };
  return {
    idOf(line, code, errors) {
      if (typeof code !== 'string') return null;
      const id = ids.get(code);
      if (id !== undefined) return id;
      const found = { code: `${noun}.unknown`, hint: hintFor(code) };
      errors.add(line, `${noun}_code`, found, code);
      return null;
    },
  };
}
