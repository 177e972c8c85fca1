import { z } from 'zod';
import {
  ATTACHMENT_NOUNS,
  type Attachment,
  attachment,
  IMAGE_MEDIA_TYPES,
  type ImageMediaType,
  newAttachmentQuery,
} from '../../../shared/contract/attachment.ts';
import { byId, id } from '../../../shared/contract/values.ts';
import { openCursor, pageOf, pageQuery, toPage } from '../../http/page.ts';
import type { Routes } from '../../http/route.ts';
import type { Attachments } from './use-cases.ts';

const PICTURE_LIMIT_BYTES = 10 * 1024 * 1024;

/** Pictures of records. */
export function attachmentRoutes(routes: Routes, attachments: Attachments): void {
  routes.route({
    method: 'POST',
    url: '/attachments',
    operationId: 'addAttachment',
    tag: 'Attachments',
    summary: 'Add a picture to a record; only its pixels are kept',
    permission: 'attachments:write',
    query: newAttachmentQuery,
    upload: IMAGE_MEDIA_TYPES,
    bodyLimitBytes: PICTURE_LIMIT_BYTES,
    response: attachment,
    status: 201,
    async handle(tx, { query, upload }) {
      const mediaType = upload.mediaType as ImageMediaType;
      const made = await attachments.add(tx, query, { bytes: upload.bytes, mediaType });
      return { body: made, location: `/v1/attachments/${made.id}` };
    },
  });
  routes.route({
    method: 'GET',
    url: '/attachments',
    operationId: 'listAttachments',
    tag: 'Attachments',
    summary: 'List the pictures of a record, oldest first',
    permission: 'attachments:read',
    query: z.strictObject({ ...pageQuery, noun: z.enum(ATTACHMENT_NOUNS), recordId: id }),
    response: pageOf(attachment),
    async handle(tx, { query: { noun, recordId, limit, cursor } }) {
      const list = `/attachments?${noun}=${recordId}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const rows = await attachments.list(tx, noun, recordId, { limit, after });
      const keyOf = (row: Attachment) => [row.createdAt, row.id];
      return { body: toPage(tx.actor, list, rows, limit, keyOf, (row) => row) };
    },
  });
  routes.route({
    method: 'GET',
    url: '/attachments/:id',
    operationId: 'getAttachment',
    tag: 'Attachments',
    summary: 'Read what is known of a picture',
    permission: 'attachments:read',
    params: byId,
    response: attachment,
    async handle(tx, { params }) {
      return { body: await attachments.get(tx, params.id) };
    },
  });
  routes.download({
    method: 'GET',
    url: '/attachments/:id/content',
    operationId: 'downloadAttachment',
    tag: 'Attachments',
    summary: 'Download a picture',
    permission: 'attachments:read',
    params: byId,
    mediaTypes: IMAGE_MEDIA_TYPES,
    async handle(tx, { params }) {
      const { attachment: found, content } = await attachments.download(tx, params.id);
      return { content, mediaType: found.mediaType, fileName: found.fileName };
    },
  });
}
