import { createHmac, timingSafeEqual } from 'node:crypto';
import { z } from 'zod';
import { invalidContent } from '../domain/errors.ts';
import type { Actor } from '../domain/identity.ts';

export const DEFAULT_PAGE_SIZE = 50;
export const MAX_PAGE_SIZE = 200;

/** Query parameters of every list. A limit above 200 is brought down to 200. */
export const pageQuery = {
  limit: z.coerce
    .number()
    .int()
    .min(1)
    .default(DEFAULT_PAGE_SIZE)
    .transform((limit) => Math.min(limit, MAX_PAGE_SIZE))
    .meta({ description: 'How many at the most; 200 is the most.' }),
  cursor: z.string().max(2_000).optional().meta({ description: 'nextCursor of the page before.' }),
};

export const pageOf = <Item extends z.ZodType>(item: Item) =>
  z.object({ items: z.array(item), nextCursor: z.string().nullable() });

export interface Page<Item> {
  items: Item[];
  nextCursor: string | null;
}

/**
 * Seals the sort key of the last row. The seal covers the organisation and the list with its
 * filters, so that a cursor opens only the list that it came from.
 */
export function sealCursor(actor: Actor, list: string, key: readonly string[]): string {
  const payload = Buffer.from(JSON.stringify(key)).toString('base64url');
  return `${payload}.${seal(actor, list, payload)}`;
}

/** Reads a cursor back to its sort key. Throws `invalid-content` for any that was not sealed here. */
export function openCursor(actor: Actor, list: string, cursor: string): string[] {
  const [payload, given] = cursor.split('.');
  const expected = payload ? seal(actor, list, payload) : '';
  if (!payload || !given || !equal(given, expected)) {
    throw invalidContent([
      { pointer: '/cursor', code: 'cursor.foreign', message: 'is not a cursor of this list' },
    ]);
  }
  return JSON.parse(Buffer.from(payload, 'base64url').toString('utf8')) as string[];
}

/** Cuts `limit + 1` rows down to a page, with the cursor of the next one when there is more. */
export function toPage<Row, Item>(
  actor: Actor,
  list: string,
  rows: readonly Row[],
  limit: number,
  keyOf: (row: Row) => readonly string[],
  toItem: (row: Row) => Item,
): Page<Item> {
  const shown = rows.slice(0, limit);
  const last = shown.at(-1);
  const hasMore = rows.length > limit && last !== undefined;
  return {
    items: shown.map(toItem),
    nextCursor: hasMore ? sealCursor(actor, list, keyOf(last)) : null,
  };
}

const seal = (actor: Actor, list: string, payload: string) =>
  createHmac('sha256', actor.cursorKey)
    .update(`${actor.organisationId}\n${list}\n${payload}`)
    .digest('base64url');

const equal = (a: string, b: string) =>
  a.length === b.length && timingSafeEqual(Buffer.from(a), Buffer.from(b));
