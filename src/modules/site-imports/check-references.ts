import type { ImportErrors } from '../../imports/import-errors.ts';
import { nearest } from '../../workers/tables/cell-values.ts';
import type { RowReference } from './check-rows.ts';
import type { ExistingSite } from './plan.ts';

/** Unknown villages beyond this many get no suggestion; comparing names takes its time. */
const MAX_SUGGESTIONS = 100;

/** Holds the rows against the villages and sites that there are. */
export function checkReferences(
  references: readonly RowReference[],
  villageIdByCode: ReadonlyMap<string, string>,
  siteByCode: ReadonlyMap<string, ExistingSite>,
  errors: ImportErrors,
): void {
  const villageCodes = [...villageIdByCode.keys()];
  const hints = new Map<string, string>();
  const hintFor = (villageCode: string) => {
    const known = hints.get(villageCode);
    if (known !== undefined) return known;
    const near = hints.size < MAX_SUGGESTIONS ? nearest(villageCode, villageCodes) : null;
    const hint = `there is no such village${near ? `; did you mean ${near}?` : ''}`;
    hints.set(villageCode, hint);
    return hint;
  };
  for (const { line, code, villageCode, refusesConsent } of references) {
    if (villageCode !== null && !villageIdByCode.has(villageCode)) {
      const found = { code: 'village.unknown', hint: hintFor(villageCode) };
      errors.add(line, 'village', found, villageCode);
    }
    if (refusesConsent && code !== null && siteByCode.get(code)?.contact?.consentGiven) {
      const hint = 'the site has a contact: erase it with DELETE /v1/sites/{id}/contact';
      errors.add(line, 'consent', { code: 'consent.withdrawn', hint }, 'no');
    }
  }
}
