import { contactFacts, siteFacts } from '../../../shared/contract/site.ts';
import { code, shortText } from '../../../shared/contract/values.ts';
import {
  type Column,
  choiceCell,
  type Fact,
  type FileShape,
  numberCell,
  textCell,
} from '../../imports/column.ts';
import { type Read, readDate } from '../../workers/tables/cell-values.ts';

/** What a row of a file says of a site; a field is absent when the file has no such column. */
export interface SiteCells {
  code: string;
  villageCode: string;
  kind: string;
  roofAreaM2: number;
  roofKind: string;
  peopleServed: number;
  runoffCoefficient?: number | null;
  litresPerPersonPerDay?: number | null;
  demandLPerDay?: number | null;
  groundClass?: string | null;
  agreedOn?: string | null;
  contactName?: string | null;
  phone?: string | null;
  latDeg?: number | null;
  lonDeg?: number | null;
  consent?: Consent | null;
}

/** `yes`, `no`, or the day on which consent was given. */
export type Consent = 'yes' | 'no' | { readonly on: string };

/** Coordinates are kept to 5 decimals of a degree, about a metre. */
const degrees = (fact: Fact) => (cell: string) => {
  const read = numberCell(fact)(cell);
  return 'fault' in read ? read : { value: Math.round(Number(read.value) * 1e5) / 1e5 };
};

const CONSENT_WORDS: Readonly<Record<string, 'yes' | 'no'>> = {
  yes: 'yes',
  y: 'yes',
  true: 'yes',
  '1': 'yes',
  no: 'no',
  n: 'no',
  false: 'no',
  '0': 'no',
};

function readConsent(cell: string): Read<Consent> {
  const word = CONSENT_WORDS[cell.trim().toLowerCase()];
  if (word) return { value: word };
  const date = readDate(cell);
  if ('value' in date) return { value: { on: date.value } };
  return {
    fault: { code: 'consent.unreadable', hint: 'write yes, no or the day of the consent' },
  };
}

const SITE_COLUMNS: readonly Column<keyof SiteCells>[] = [
  { name: 'code', field: 'code', isRequired: true, read: textCell(code) },
  { name: 'village', field: 'villageCode', isRequired: true, read: textCell(shortText) },
  { name: 'kind', field: 'kind', isRequired: true, read: choiceCell(siteFacts.kind) },
  {
    name: 'roof_area_m2',
    field: 'roofAreaM2',
    isRequired: true,
    read: numberCell(siteFacts.roofAreaM2),
  },
  { name: 'roof_kind', field: 'roofKind', isRequired: true, read: choiceCell(siteFacts.roofKind) },
  {
    name: 'runoff_coefficient',
    field: 'runoffCoefficient',
    read: numberCell(siteFacts.runoffCoefficient),
  },
  {
    name: 'people',
    field: 'peopleServed',
    isRequired: true,
    read: numberCell(siteFacts.peopleServed),
  },
  {
    name: 'litres_per_person_per_day',
    field: 'litresPerPersonPerDay',
    read: numberCell(siteFacts.litresPerPersonPerDay),
  },
  { name: 'demand_l_per_day', field: 'demandLPerDay', read: numberCell(siteFacts.demandLPerDay) },
  { name: 'ground_class', field: 'groundClass', read: choiceCell(siteFacts.groundClass.unwrap()) },
  { name: 'agreed_on', field: 'agreedOn', read: readDate },
  {
    name: 'contact_name',
    field: 'contactName',
    isPersonal: true,
    read: textCell(contactFacts.contactName),
  },
  { name: 'phone', field: 'phone', isPersonal: true, read: textCell(contactFacts.phone) },
  { name: 'lat_deg', field: 'latDeg', isPersonal: true, read: degrees(contactFacts.latDeg) },
  { name: 'lon_deg', field: 'lonDeg', isPersonal: true, read: degrees(contactFacts.lonDeg) },
  { name: 'consent', field: 'consent', read: readConsent },
];

const SYNONYMS: Readonly<Record<string, string>> = {
  site: 'code',
  site_code: 'code',
  id: 'code',
  village_code: 'village',
  type: 'kind',
  site_kind: 'kind',
  roof_area: 'roof_area_m2',
  area: 'roof_area_m2',
  roof: 'roof_kind',
  roof_type: 'roof_kind',
  coefficient: 'runoff_coefficient',
  runoff: 'runoff_coefficient',
  persons: 'people',
  users: 'people',
  people_served: 'people',
  population: 'people',
  lpcd: 'litres_per_person_per_day',
  demand: 'demand_l_per_day',
  soil: 'ground_class',
  soil_class: 'ground_class',
  ground: 'ground_class',
  date: 'agreed_on',
  agreed: 'agreed_on',
  agreement_date: 'agreed_on',
  name: 'contact_name',
  contact: 'contact_name',
  telephone: 'phone',
  tel: 'phone',
  mobile: 'phone',
  lat: 'lat_deg',
  latitude: 'lat_deg',
  lon: 'lon_deg',
  lng: 'lon_deg',
  longitude: 'lon_deg',
};

export const SITE_SHAPE: FileShape<keyof SiteCells> = {
  noun: 'sites',
  columns: SITE_COLUMNS,
  synonyms: SYNONYMS,
};
