import type { NewSiteContact, SiteContact } from '../../../shared/contract/site.ts';
import type { Tx } from '../../db/database.ts';

const COLUMNS = `
  id, version, contact_name, phone, lat_deg, lon_deg, consent_given, consent_on,
  photo_consent_given, retain_until, updated_at`;

const LOCK_SQL = `
  select ${COLUMNS} from site_contact where organisation_id = $1 and id = $2 for update`;

const READ_SQL = `select ${COLUMNS} from site_contact where organisation_id = $1 and id = $2`;

const PUT_SQL = `
  insert into site_contact (organisation_id, id, contact_name, phone, lat_deg, lon_deg,
    consent_given, consent_on, photo_consent_given, retain_until)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
  on conflict (organisation_id, id) do update set
    version = site_contact.version + 1, contact_name = excluded.contact_name,
    phone = excluded.phone, lat_deg = excluded.lat_deg, lon_deg = excluded.lon_deg,
    consent_given = excluded.consent_given, consent_on = excluded.consent_on,
    photo_consent_given = excluded.photo_consent_given, retain_until = excluded.retain_until,
    updated_at = now()
  returning ${COLUMNS}`;

const DELETE_SQL = 'delete from site_contact where organisation_id = $1 and id = $2';

const PURGE_ANSWERS_SQL = `
  update idempotency_key set body = null
  where organisation_id = $1 and body is not null
    and exists (select from unnest($2::text[]) as held(text) where position(held.text in body) > 0)
  returning key`;

interface Row {
  id: string;
  version: number;
  contact_name: string | null;
  phone: string | null;
  lat_deg: string | null;
  lon_deg: string | null;
  consent_given: boolean;
  consent_on: string | null;
  photo_consent_given: boolean;
  retain_until: string | null;
  updated_at: string;
}

export interface ContactStore {
  find(tx: Tx, siteId: string): Promise<SiteContact | null>;
  /** As `find`, and holds the row against others until the transaction ends. */
  findForChange(tx: Tx, siteId: string): Promise<SiteContact | null>;
  put(tx: Tx, siteId: string, contact: NewSiteContact): Promise<SiteContact>;
  delete(tx: Tx, siteId: string): Promise<void>;
  /** Empties stored answers of earlier requests that hold any of the texts; returns how many. */
  purgeAnswers(tx: Tx, texts: readonly string[]): Promise<number>;
}

export const contactStore: ContactStore = {
  find: (tx, siteId) => findBy(READ_SQL, tx, siteId),
  findForChange: (tx, siteId) => findBy(LOCK_SQL, tx, siteId),
  async put(tx, siteId, contact) {
    const [row] = await tx.sql<Row>(PUT_SQL, [
      tx.organisationId,
      siteId,
      contact.contactName,
      contact.phone,
      contact.latDeg,
      contact.lonDeg,
      contact.consentGiven,
      contact.consentOn,
      contact.photoConsentGiven,
      contact.retainUntil,
    ]);
    if (!row) throw new Error('The contact was written and not returned');
    return toWire(row);
  },
  async delete(tx, siteId) {
    await tx.sql(DELETE_SQL, [tx.organisationId, siteId]);
  },
  async purgeAnswers(tx, texts) {
    return (await tx.sql(PURGE_ANSWERS_SQL, [tx.organisationId, texts])).length;
  },
};

async function findBy(sql: string, tx: Tx, siteId: string): Promise<SiteContact | null> {
  const [row] = await tx.sql<Row>(sql, [tx.organisationId, siteId]);
  return row ? toWire(row) : null;
}

const toWire = (row: Row): SiteContact => ({
  siteId: row.id,
  version: row.version,
  contactName: row.contact_name,
  phone: row.phone,
  latDeg: row.lat_deg === null ? null : Number(row.lat_deg),
  lonDeg: row.lon_deg === null ? null : Number(row.lon_deg),
  consentGiven: row.consent_given,
  consentOn: row.consent_on,
  photoConsentGiven: row.photo_consent_given,
  retainUntil: row.retain_until,
  updatedAt: row.updated_at,
});
