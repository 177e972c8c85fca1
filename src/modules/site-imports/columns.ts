import { contactFacts, siteFacts } from '../../../shared/contract/site.ts';
import { code, shortText } from '../../../shared/contract/values.ts';
import {
  type CellFault,
  type Read,
  readChoice,
  readDate,
  readNumber,
} from '../../workers/tables/cell-values.ts';

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

export interface Column {
  readonly name: string;
  readonly field: keyof SiteCells;
  readonly isRequired?: true;
  /** Personal data are never repeated in errors, previews or records of imports. */
  readonly isPersonal?: true;
  read(text: string): Read<unknown>;
}

interface Fact {
  safeParse(
    value: unknown,
  ):
    | { success: true; data: unknown }
    | { success: false; error: { issues: { message: string }[] } };
}

/** Holds what a cell says against the fact's own limits. */
function within(fact: Fact, read: Read<unknown>): Read<unknown> {
  if ('fault' in read) return read;
  const checked = fact.safeParse(read.value);
  if (checked.success) return { value: checked.data };
  const hint = checked.error.issues[0]?.message ?? 'is not acceptable';
  return { fault: { code: 'value.out-of-range', hint } satisfies CellFault };
}

const text = (fact: Fact) => (cell: string) => within(fact, { value: cell });
const number = (fact: Fact) => (cell: string) => within(fact, readNumber(cell));
const choice = (fact: { options: readonly string[] }) => (cell: string) =>
  readChoice(cell, fact.options);

/** Coordinates are kept to 5 decimals of a degree, about a metre. */
const degrees = (fact: Fact) => (cell: string) => {
  const read = number(fact)(cell);
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

/** The columns of a site file; every other column is an error. */
export const SITE_COLUMNS: readonly Column[] = [
  { name: 'code', field: 'code', isRequired: true, read: text(code) },
  { name: 'village', field: 'villageCode', isRequired: true, read: text(shortText) },
  { name: 'kind', field: 'kind', isRequired: true, read: choice(siteFacts.kind) },
  {
    name: 'roof_area_m2',
    field: 'roofAreaM2',
    isRequired: true,
    read: number(siteFacts.roofAreaM2),
  },
  { name: 'roof_kind', field: 'roofKind', isRequired: true, read: choice(siteFacts.roofKind) },
  {
    name: 'runoff_coefficient',
    field: 'runoffCoefficient',
    read: number(siteFacts.runoffCoefficient),
  },
  { name: 'people', field: 'peopleServed', isRequired: true, read: number(siteFacts.peopleServed) },
  {
    name: 'litres_per_person_per_day',
    field: 'litresPerPersonPerDay',
    read: number(siteFacts.litresPerPersonPerDay),
  },
  { name: 'demand_l_per_day', field: 'demandLPerDay', read: number(siteFacts.demandLPerDay) },
  { name: 'ground_class', field: 'groundClass', read: choice(siteFacts.groundClass.unwrap()) },
  { name: 'agreed_on', field: 'agreedOn', read: readDate },
  {
    name: 'contact_name',
    field: 'contactName',
    isPersonal: true,
    read: text(contactFacts.contactName),
  },
  { name: 'phone', field: 'phone', isPersonal: true, read: text(contactFacts.phone) },
  { name: 'lat_deg', field: 'latDeg', isPersonal: true, read: degrees(contactFacts.latDeg) },
  { name: 'lon_deg', field: 'lonDeg', isPersonal: true, read: degrees(contactFacts.lonDeg) },
  { name: 'consent', field: 'consent', read: readConsent },
];

export const columnNames = SITE_COLUMNS.map(({ name }) => name);

/** Other words for the columns, to suggest the right one by. */
export const SYNONYMS: Readonly<Record<string, string>> = {
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
