import type { NewSite, Site, SitePatch } from '../../../shared/contract/site.ts';
import { documentStore } from '../../db/document-store.ts';
import type { SiteModel as SiteRow } from '../../db/generated/models.ts';
import { civilDateOrNull, documentFieldsOf, withDates } from '../../db/wire-values.ts';

/** Sites without anything about the people who live there. */
export const siteStore = documentStore<SiteRow, Site, NewSite, SitePatch>({
  noun: 'site',
  sortKey: 'code',
  delegate: (prisma) => prisma.site,
  toWire: (row) => ({
    ...documentFieldsOf(row),
    programmeId: row.programmeId,
    villageId: row.villageId,
    code: row.code,
    kind: row.kind as Site['kind'],
    roofAreaM2: row.roofAreaM2,
    roofKind: row.roofKind as Site['roofKind'],
    runoffCoefficient: row.runoffCoefficient,
    peopleServed: row.peopleServed,
    litresPerPersonPerDay: row.litresPerPersonPerDay,
    demandLPerDay: row.demandLPerDay,
    groundClass: row.groundClass as Site['groundClass'],
    agreedOn: civilDateOrNull(row.agreedOn),
  }),
  toColumns: (input: NewSite | SitePatch) => withDates(input, ['agreedOn']),
});
