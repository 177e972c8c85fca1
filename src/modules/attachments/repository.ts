import type { Attachment, AttachmentNoun } from '../../../shared/contract/attachment.ts';
import type { Tx } from '../../db/database.ts';

const RECORD_SQL: Readonly<Record<AttachmentNoun, string>> = {
  site: 'select id from site where organisation_id = $1 and id = $2',
  build: 'select id from build where organisation_id = $1 and id = $2',
  'stage-record': 'select id from stage_record where organisation_id = $1 and id = $2',
  inspection: 'select id from inspection where organisation_id = $1 and id = $2',
  order: 'select id from purchase_order where organisation_id = $1 and id = $2',
  'cost-entry': 'select id from cost_entry where organisation_id = $1 and id = $2',
  contribution: 'select id from village_contribution where organisation_id = $1 and id = $2',
};

const COLUMNS = `
  id, noun, record_id, file_name, media_type, byte_count, sha256, taken_on, caption,
  uploaded_by_id, created_at`;

const INSERT_SQL = `
  insert into attachment (organisation_id, id, noun, record_id, file_name, media_type, byte_count,
    sha256, taken_on, caption, uploaded_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
  returning ${COLUMNS}`;

const INSERT_CONTENT_SQL = `
  insert into attachment_content (organisation_id, id, content) values ($1, $2, $3)`;

const LIST_SQL = `
  select ${COLUMNS} from attachment
  where organisation_id = $1 and noun = $2 and record_id = $3
    and ($4::timestamptz is null or (created_at, id) > ($4, $5::uuid))
  order by created_at, id limit $6`;

const GET_SQL = `select ${COLUMNS} from attachment where organisation_id = $1 and id = $2`;

const CONTENT_SQL = 'select content from attachment_content where organisation_id = $1 and id = $2';

interface Row {
  id: string;
  noun: AttachmentNoun;
  record_id: string;
  file_name: string;
  media_type: Attachment['mediaType'];
  byte_count: number;
  sha256: string;
  taken_on: string | null;
  caption: string;
  uploaded_by_id: string;
  created_at: string;
}

export type NewAttachment = Omit<Attachment, 'uploadedById' | 'createdAt'>;

export interface AttachmentStore {
  recordExists(tx: Tx, noun: AttachmentNoun, recordId: string): Promise<boolean>;
  insert(tx: Tx, attachment: NewAttachment, content: Buffer): Promise<Attachment>;
  /** Oldest first; `limit + 1` rows, to see whether there are more. */
  list(
    tx: Tx,
    noun: AttachmentNoun,
    recordId: string,
    page: { limit: number; after: readonly string[] | null },
  ): Promise<Attachment[]>;
  find(tx: Tx, id: string): Promise<Attachment | null>;
  content(tx: Tx, id: string): Promise<Buffer | null>;
}

export const attachmentStore: AttachmentStore = {
  async recordExists(tx, noun, recordId) {
    return (await tx.sql(RECORD_SQL[noun], [tx.organisationId, recordId])).length > 0;
  },
  async insert(tx, attachment, content) {
    const [row] = await tx.sql<Row>(INSERT_SQL, [
      tx.organisationId,
      attachment.id,
      attachment.noun,
      attachment.recordId,
      attachment.fileName,
      attachment.mediaType,
      attachment.byteCount,
      attachment.sha256,
      attachment.takenOn,
      attachment.caption,
      tx.actor.personId,
    ]);
    if (!row) throw new Error('The attachment was written and not returned');
    await tx.sql(INSERT_CONTENT_SQL, [tx.organisationId, attachment.id, content]);
    return toWire(row);
  },
  async list(tx, noun, recordId, { limit, after }) {
    const [createdAt = null, id = null] = after ?? [];
    const values = [tx.organisationId, noun, recordId, createdAt, id, limit + 1];
    return (await tx.sql<Row>(LIST_SQL, values)).map(toWire);
  },
  async find(tx, id) {
    const [row] = await tx.sql<Row>(GET_SQL, [tx.organisationId, id]);
    return row ? toWire(row) : null;
  },
  async content(tx, id) {
    const [row] = await tx.sql<{ content: Buffer }>(CONTENT_SQL, [tx.organisationId, id]);
    return row?.content ?? null;
  },
};

const toWire = (row: Row): Attachment => ({
  id: row.id,
  noun: row.noun,
  recordId: row.record_id,
  fileName: row.file_name,
  mediaType: row.media_type,
  byteCount: row.byte_count,
  sha256: row.sha256,
  takenOn: row.taken_on,
  caption: row.caption,
  uploadedById: row.uploaded_by_id,
  createdAt: row.created_at,
});
