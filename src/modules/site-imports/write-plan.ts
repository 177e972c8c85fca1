import { v7 as uuidv7 } from 'uuid';
import type { Tx } from '../../db/database.ts';
import { DomainError } from '../../domain/errors.ts';
import type { ImportPlan, PlannedRow } from './plan.ts';

const SITE_FIELDS = `
  id uuid, version integer, village_id uuid, code text, kind text, roof_area_m2 double precision,
  roof_kind text, runoff_coefficient double precision, people_served integer,
  litres_per_person_per_day double precision, demand_l_per_day double precision,
  ground_class text, agreed_on date`;

const INSERT_SITES_SQL = `
  insert into site (organisation_id, programme_id, id, village_id, code, kind, roof_area_m2,
    roof_kind, runoff_coefficient, people_served, litres_per_person_per_day, demand_l_per_day,
    ground_class, agreed_on)
  select $1, $2, id, village_id, code, kind, roof_area_m2, roof_kind, runoff_coefficient,
    people_served, litres_per_person_per_day, demand_l_per_day, ground_class, agreed_on
  from jsonb_to_recordset($3) as r(${SITE_FIELDS})`;

const UPDATE_SITES_SQL = `
  update site s set version = s.version + 1, updated_at = now(), village_id = r.village_id,
    kind = r.kind, roof_area_m2 = r.roof_area_m2, roof_kind = r.roof_kind,
    runoff_coefficient = r.runoff_coefficient, people_served = r.people_served,
    litres_per_person_per_day = r.litres_per_person_per_day,
    demand_l_per_day = r.demand_l_per_day, ground_class = r.ground_class, agreed_on = r.agreed_on
  from jsonb_to_recordset($2) as r(${SITE_FIELDS})
  where s.organisation_id = $1 and s.id = r.id and s.version = r.version
  returning s.id`;

// A contact is new with version 1, or one above the version that was planned against.
const PUT_CONTACTS_SQL = `
  insert into site_contact (organisation_id, id, version, contact_name, phone, lat_deg, lon_deg,
    consent_given, consent_on)
  select $1, id, version, contact_name, phone, lat_deg, lon_deg, true, consent_on
  from jsonb_to_recordset($2) as r(id uuid, version integer, contact_name text, phone text,
    lat_deg numeric, lon_deg numeric, consent_on date)
  on conflict (organisation_id, id) do update set version = excluded.version,
    contact_name = excluded.contact_name, phone = excluded.phone, lat_deg = excluded.lat_deg,
    lon_deg = excluded.lon_deg, consent_given = true, consent_on = excluded.consent_on,
    updated_at = now()
  where site_contact.version = excluded.version - 1
  returning id`;

const AUDIT_SQL = `
  insert into audit_entry (organisation_id, id, person_id, request_id, action, noun, record_id, detail)
  select $1, gen_random_uuid(), $2, $3, r.action, r.noun, r.id::text, $4
  from jsonb_to_recordset($5) as r(action text, noun text, id uuid)`;

/**
 * Writes all of a plan with one statement a table, each row against the version that was planned.
 *
 * @throws {DomainError} `conflict` when any row has changed meanwhile
 */
export async function writePlan(
  tx: Tx,
  programmeId: string,
  importId: string,
  plan: ImportPlan,
): Promise<void> {
  const created = rowsOf(plan, 'create').map((row) => ({ row, id: uuidv7() }));
  const updated = rowsOf(plan, 'update').map((row) => ({ row, id: row.existing?.id ?? '' }));
  const changedSites = updated.filter(({ row }) => row.changes.length > 0);
  const contacts = [...created, ...updated].filter(({ row }) => row.contact !== null);
  await tx.sql(INSERT_SITES_SQL, [
    tx.organisationId,
    programmeId,
    JSON.stringify(created.map(({ row, id }) => siteColumns(row, id))),
  ]);
  const sites = JSON.stringify(changedSites.map(({ row, id }) => siteColumns(row, id)));
  requireAll(await tx.sql(UPDATE_SITES_SQL, [tx.organisationId, sites]), changedSites.length);
  const people = JSON.stringify(contacts.map(({ row, id }) => contactColumns(row, id)));
  requireAll(await tx.sql(PUT_CONTACTS_SQL, [tx.organisationId, people]), contacts.length);
  await tx.sql(AUDIT_SQL, [
    tx.organisationId,
    tx.actor.personId,
    tx.actor.requestId,
    JSON.stringify({ siteImportId: importId }),
    JSON.stringify([
      ...created.map(({ id }) => ({ action: 'create', noun: 'site', id })),
      ...changedSites.map(({ id }) => ({ action: 'edit', noun: 'site', id })),
      ...contacts.map(({ id }) => ({ action: 'edit', noun: 'site contact', id })),
    ]),
  ]);
}

const rowsOf = (plan: ImportPlan, action: PlannedRow['action']) =>
  plan.rows.filter((row) => row.action === action);

function siteColumns({ code, values, existing }: PlannedRow, id: string) {
  return {
    id,
    version: existing?.version ?? 0,
    code,
    village_id: values.villageId,
    kind: values.kind,
    roof_area_m2: values.roofAreaM2,
    roof_kind: values.roofKind,
    runoff_coefficient: values.runoffCoefficient,
    people_served: values.peopleServed,
    litres_per_person_per_day: values.litresPerPersonPerDay,
    demand_l_per_day: values.demandLPerDay,
    ground_class: values.groundClass,
    agreed_on: values.agreedOn,
  };
}

function contactColumns({ contact, existing }: PlannedRow, id: string) {
  return {
    id,
    version: (existing?.contact?.version ?? 0) + 1,
    contact_name: contact?.contactName,
    phone: contact?.phone,
    lat_deg: contact?.latDeg,
    lon_deg: contact?.lonDeg,
    consent_on: contact?.consentOn,
  };
}

function requireAll(written: readonly unknown[], expectedCount: number): void {
  if (written.length === expectedCount) return;
  throw new DomainError('conflict', {
    detail:
      'A site of the file was changed in this moment; nothing was written. Make a new dry run.',
  });
}
