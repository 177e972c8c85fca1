import { v7 as uuidv7 } from 'uuid';
import { z } from 'zod';
import { byId } from '../../shared/contract/values.ts';
import type { Tx } from '../db/database.ts';
import type { DocumentStore, RecordStore } from '../db/document-store.ts';
import type { Permission } from '../domain/permissions.ts';
import { openCursor, pageOf, pageQuery, sealCursor } from './page.ts';
import type { Routes } from './route.ts';

export type { DocumentStore, RecordStore };

interface Named {
  id: string;
}

interface Document extends Named {
  version: number;
}

export interface RecordRoutes<Wire extends Named, New> {
  /** Plural kebab-case path below `/v1`, with its slash. */
  readonly path: string;
  /** Singular and plural in PascalCase, for operation ids. */
  readonly names: readonly [singular: string, plural: string];
  readonly tag: string;
  readonly read: Permission;
  readonly write: Permission;
  readonly item: z.ZodType<Wire>;
  readonly create: z.ZodType<New>;
  /** Query parameters that narrow the list, equal to the columns of the same names. */
  readonly filters?: Readonly<Record<string, z.ZodType>>;
  readonly store: RecordStore<Wire, New>;
  /** Rules that a new record must keep; thrown refusals stop the write. */
  readonly guardCreate?: (tx: Tx, input: New) => Promise<void>;
}

export interface DocumentRoutes<Wire extends Document, New, Patch> extends RecordRoutes<Wire, New> {
  readonly patch: z.ZodType<Patch>;
  readonly store: DocumentStore<Wire, New, Patch>;
  /** Rules that a changed document must keep; thrown refusals stop the write. */
  readonly guardEdit?: (tx: Tx, id: string, patch: Patch) => Promise<void>;
}

/** The three routes of a record that never changes: list, read, make. */
export function recordRoutes<Wire extends Named, New extends { id?: string | undefined }>(
  routes: Routes,
  definition: RecordRoutes<Wire, New>,
): void {
  const { path, names, tag, read, write, item, store } = definition;
  const [singular, plural] = names;
  const query = z.strictObject({ ...pageQuery, ...definition.filters });
  routes.route({
    method: 'GET',
    url: path,
    operationId: `list${plural}`,
    tag,
    summary: `List ${store.noun}s`,
    permission: read,
    query,
    response: pageOf(item),
    async handle(tx, input) {
      const { limit, cursor, ...filter } = input.query as {
        limit: number;
        cursor?: string;
        [filter: string]: unknown;
      };
      const list = `${path}?${JSON.stringify(filter)}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, list, cursor);
      const { items, lastKey } = await store.list(tx, { limit, after, filter });
      const nextCursor = lastKey && sealCursor(tx.actor, list, lastKey);
      return { body: { items, nextCursor } as never };
    },
  });
  routes.route({
    method: 'GET',
    url: `${path}/:id`,
    operationId: `get${singular}`,
    tag,
    summary: `Read one ${store.noun}`,
    permission: read,
    params: byId,
    response: item,
    async handle(tx, { params }) {
      const found = await store.get(tx, params.id);
      return { body: found as never, ...versionOf(found) };
    },
  });
  routes.route({
    method: 'POST',
    url: path,
    operationId: `create${singular}`,
    tag,
    summary: `Make a ${store.noun}`,
    permission: write,
    body: definition.create,
    response: item,
    status: 201,
    async handle(tx, { body }) {
      const { id = uuidv7(), ...fields } = body as New & { id?: string };
      await definition.guardCreate?.(tx, body as New);
      const made = await store.create(tx, id, fields as unknown as New);
      await tx.audit('create', store.noun, id, fields);
      return { body: made as never, location: `/v1${path}/${id}`, ...versionOf(made) };
    },
  });
}

const versionOf = (found: object) =>
  'version' in found ? { version: (found as Document).version } : {};

/** The four routes of an editable document: list, read, make, change. */
export function documentRoutes<
  Wire extends Document,
  New extends { id?: string | undefined },
  Patch,
>(routes: Routes, definition: DocumentRoutes<Wire, New, Patch>): void {
  const { path, names, tag, write, item, store } = definition;
  recordRoutes<Wire, New>(routes, definition);
  routes.route({
    method: 'PATCH',
    url: `${path}/:id`,
    operationId: `edit${names[0]}`,
    tag,
    summary: `Change a ${store.noun} (JSON merge patch)`,
    permission: write,
    params: byId,
    body: definition.patch,
    versioned: true,
    response: item,
    async handle(tx, { params, body, version }) {
      await definition.guardEdit?.(tx, params.id, body as Patch);
      const changed = await store.update(tx, params.id, version, body as Patch);
      await tx.audit('edit', store.noun, params.id, body as object);
      return { body: changed as never, version: changed.version };
    },
  });
}
