import { createHash } from 'node:crypto';
import { PREVIEW_ROWS } from '../../../shared/contract/file-import.ts';
import type { ImportPreviewRow } from '../../../shared/contract/site-import.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';
import type { SiteRow } from './check-rows.ts';
import type { SiteCells } from './columns.ts';

/** The facts of a site that a file can set. */
export interface SiteValues {
  readonly villageId: string;
  readonly kind: string;
  readonly roofAreaM2: number;
  readonly roofKind: string;
  readonly runoffCoefficient: number | null;
  readonly peopleServed: number;
  readonly litresPerPersonPerDay: number | null;
  readonly demandLPerDay: number | null;
  readonly groundClass: string | null;
  readonly agreedOn: string | null;
}

export interface ContactValues {
  readonly contactName: string | null;
  readonly phone: string | null;
  readonly latDeg: number | null;
  readonly lonDeg: number | null;
  readonly consentOn: string | null;
}

export interface ExistingSite {
  readonly id: string;
  readonly version: number;
  readonly code: string;
  readonly villageCode: string;
  readonly values: SiteValues;
  readonly contact: (ContactValues & { version: number; consentGiven: boolean }) | null;
}

export interface PlannedRow {
  readonly line: number;
  readonly code: string;
  readonly villageCode: string;
  readonly existing: ExistingSite | null;
  readonly values: SiteValues;
  readonly changes: ImportPreviewRow['changes'];
  /** What the contact is to become, or null when the row leaves it alone. */
  readonly contact: ContactValues | null;
  readonly action: ImportPreviewRow['action'];
}

export interface ImportPlan {
  readonly rows: readonly PlannedRow[];
  /** Covers the file, what every row does, and the versions of all it touches. */
  readonly hash: string;
}

export interface PlanInput {
  readonly programmeId: string;
  readonly fileSha256: string;
  readonly rows: readonly SiteRow[];
  readonly villageIdByCode: ReadonlyMap<string, string>;
  readonly siteByCode: ReadonlyMap<string, ExistingSite>;
  readonly today: string;
}

/** Decides for every good row whether it makes, changes or leaves a site, and its contact. */
export function planImport(input: PlanInput, errors: ImportErrors): ImportPlan {
  const rows: PlannedRow[] = [];
  const hash = createHash('sha256').update(`${input.programmeId}\n${input.fileSha256}\n`);
  for (const row of input.rows) {
    const planned = planRow(row, input, errors);
    if (!planned) continue;
    rows.push(planned);
    const { existing } = planned;
    const touched = [
      planned.line,
      planned.action,
      planned.values.villageId,
      existing && [existing.id, existing.version, existing.contact?.version ?? 0],
    ];
    hash.update(`${JSON.stringify(touched)}\n`);
  }
  return { rows, hash: hash.digest('base64url') };
}

export const previewOf = (plan: ImportPlan): ImportPreviewRow[] =>
  plan.rows.slice(0, PREVIEW_ROWS).map(({ line, code, action, existing, changes, contact }) => ({
    line,
    code,
    action,
    siteId: existing?.id ?? null,
    changes: [...changes],
    contact: contact ? 'set' : existing?.contact ? 'unchanged' : 'none',
  }));

function planRow(
  { line, cells }: SiteRow,
  { villageIdByCode, siteByCode, today }: PlanInput,
  errors: ImportErrors,
): PlannedRow | null {
  const villageId = villageIdByCode.get(cells.villageCode);
  const existing = siteByCode.get(cells.code) ?? null;
  if (villageId === undefined || errors.isBad(line)) return null;
  const values = valuesOf(cells, villageId, existing);
  const changes = changesOf(cells, values, existing);
  const contact = contactOf(cells, existing, today);
  const isChanged = changes.length > 0 || contact !== null;
  return {
    line,
    code: cells.code,
    villageCode: cells.villageCode,
    existing,
    values,
    changes,
    contact,
    action: existing ? (isChanged ? 'update' : 'unchanged') : 'create',
  };
}

type OptionalFact =
  | 'runoffCoefficient'
  | 'litresPerPersonPerDay'
  | 'demandLPerDay'
  | 'groundClass'
  | 'agreedOn';

/** A column that the file lacks leaves a site as it is; an empty cell empties the field. */
function valuesOf(cells: SiteCells, villageId: string, existing: ExistingSite | null): SiteValues {
  const before = existing?.values;
  const optional = <Key extends OptionalFact>(key: Key): SiteValues[Key] | null => {
    const cell = cells[key] as SiteValues[Key] | null | undefined;
    return cell === undefined ? (before?.[key] ?? null) : cell;
  };
  return {
    villageId,
    kind: cells.kind,
    roofAreaM2: cells.roofAreaM2,
    roofKind: cells.roofKind,
    peopleServed: cells.peopleServed,
    runoffCoefficient: optional('runoffCoefficient'),
    litresPerPersonPerDay: optional('litresPerPersonPerDay'),
    demandLPerDay: optional('demandLPerDay'),
    groundClass: optional('groundClass'),
    agreedOn: optional('agreedOn'),
  };
}

function changesOf(cells: SiteCells, values: SiteValues, existing: ExistingSite | null) {
  const changes: ImportPreviewRow['changes'] = [];
  const { villageId, ...after } = values;
  if (villageId !== existing?.values.villageId) {
    changes.push({ field: 'village', from: existing?.villageCode ?? null, to: cells.villageCode });
  }
  for (const [field, to] of Object.entries(after)) {
    const from = existing?.values[field as keyof SiteValues] ?? null;
    if (from !== to) changes.push({ field, from, to });
  }
  return changes;
}

function contactOf(
  cells: SiteCells,
  existing: ExistingSite | null,
  today: string,
): ContactValues | null {
  const { consent } = cells;
  if (!consent || consent === 'no') return null;
  const before = existing?.contact ?? null;
  const knownConsentOn = before?.consentGiven ? before.consentOn : null;
  const after: ContactValues = {
    contactName: kept(cells.contactName, before?.contactName),
    phone: kept(cells.phone, before?.phone),
    latDeg: kept(cells.latDeg, before?.latDeg),
    lonDeg: kept(cells.lonDeg, before?.lonDeg),
    consentOn: consent === 'yes' ? (knownConsentOn ?? today) : consent.on,
  };
  const isSame =
    before?.consentGiven &&
    (Object.keys(after) as (keyof ContactValues)[]).every((key) => before[key] === after[key]);
  return isSame ? null : after;
}

const kept = <Value>(cell: Value | null | undefined, before: Value | null | undefined) =>
  cell === undefined ? (before ?? null) : cell;
