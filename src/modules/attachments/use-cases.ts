import { createHash } from 'node:crypto';
import { v7 as uuidv7 } from 'uuid';
import type {
  Attachment,
  AttachmentNoun,
  ImageMediaType,
  NewAttachmentQuery,
} from '../../../shared/contract/attachment.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, notFound } from '../../domain/errors.ts';
import { harmlessFileName } from '../../domain/file-name.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import type { Permission } from '../../domain/permissions.ts';
import { storablePicture } from './picture.ts';
import type { AttachmentStore } from './repository.ts';

export interface Attachments {
  add(
    tx: Tx,
    query: NewAttachmentQuery,
    upload: { readonly bytes: Buffer; readonly mediaType: ImageMediaType },
  ): Promise<Attachment>;
  list(
    tx: Tx,
    noun: AttachmentNoun,
    recordId: string,
    page: { limit: number; after: readonly string[] | null },
  ): Promise<Attachment[]>;
  get(tx: Tx, id: string): Promise<Attachment>;
  download(tx: Tx, id: string): Promise<{ attachment: Attachment; content: Buffer }>;
}

/** Who may see a record may see its pictures, and nobody else. */
const PERMISSION_OF: Readonly<Record<AttachmentNoun, Permission>> = {
  site: 'sites:read',
  build: 'builds:read',
  'stage-record': 'builds:read',
  inspection: 'inspections:read',
  order: 'orders:read',
  'cost-entry': 'money:read',
  contribution: 'builds:read',
};

const ENDINGS: Readonly<Record<ImageMediaType, { canonical: string; known: RegExp }>> = {
  'image/jpeg': { canonical: '.jpg', known: /\.jpe?g$/i },
  'image/png': { canonical: '.png', known: /\.png$/i },
  'image/webp': { canonical: '.webp', known: /\.webp$/i },
};

export function createAttachments(store: AttachmentStore, clock: Clock): Attachments {
  async function get(tx: Tx, id: string): Promise<Attachment> {
    const found = await store.find(tx, id);
    if (!found) throw notFound('attachment', id);
    requireRight(tx, found.noun);
    return found;
  }

  return {
    async add(tx, query, { bytes, mediaType }) {
      const { id = uuidv7(), noun, recordId, caption, takenOn = null } = query;
      requireRight(tx, noun);
      if (!(await store.recordExists(tx, noun, recordId))) throw notFound(noun, recordId);
      if (takenOn !== null) refuseFutureDate(clock, '/takenOn', takenOn);
      const content = await storablePicture(bytes, mediaType);
      const sha256 = createHash('sha256').update(content).digest('hex');
      const made = await store.insert(
        tx,
        {
          id,
          noun,
          recordId,
          fileName: pictureName(query.fileName, mediaType),
          mediaType,
          byteCount: content.length,
          sha256,
          takenOn,
          caption,
        },
        content,
      );
      await tx.audit('create', 'attachment', id, { noun, recordId, sha256 });
      return made;
    },
    async list(tx, noun, recordId, page) {
      requireRight(tx, noun);
      if (!(await store.recordExists(tx, noun, recordId))) throw notFound(noun, recordId);
      return store.list(tx, noun, recordId, page);
    },
    get,
    async download(tx, id) {
      const attachment = await get(tx, id);
      const content = await store.content(tx, id);
      if (!content) throw notFound('attachment', id);
      return { attachment, content };
    },
  };
}

function requireRight(tx: Tx, noun: AttachmentNoun): void {
  const permission = PERMISSION_OF[noun];
  if (tx.actor.permissions.has(permission)) return;
  throw new DomainError('forbidden', {
    detail: `Pictures of a ${noun} need the permission ${permission}.`,
  });
}

/** The name for downloads: harmless, with the ending of what the bytes are. */
function pictureName(given: string, mediaType: ImageMediaType): string {
  const name = harmlessFileName(given, 'picture');
  const { canonical, known } = ENDINGS[mediaType];
  return known.test(name) ? name : `${name}${canonical}`;
}
