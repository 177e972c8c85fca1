import { expect } from 'vitest';
import { z } from 'zod';
import type { TestPerson, TestService } from './service.ts';

const pageOf = <Item extends z.ZodType>(item: Item) =>
  z.object({ items: z.array(item), nextCursor: z.string().nullable() });

/** One person at the service over HTTP. Every good answer is read by its schema. */
export function clientOf(service: TestService, person: TestPerson) {
  const { http } = service;
  const ask = (path: string) => http.get(`/v1${path}`).set(person.auth);
  const send = (path: string, body: object) => http.post(`/v1${path}`).set(person.auth).send(body);

  async function read<Schema extends z.ZodType>(
    schema: Schema,
    asked: ReturnType<typeof ask>,
    status: number,
  ): Promise<z.output<Schema>> {
    const answer = await asked;
    expect(answer.status, answer.text).toBe(status);
    return schema.parse(answer.body);
  }

  const get = <Schema extends z.ZodType>(schema: Schema, path: string) =>
    read(schema, ask(path), 200);

  return {
    person,
    ask,
    send,
    get,
    post: <Schema extends z.ZodType>(schema: Schema, path: string, body: object, status = 201) =>
      read(schema, send(path, body), status),
    put: (path: string, body: object) => http.put(`/v1${path}`).set(person.auth).send(body),
    edit: (path: string, version: number, patch: object) =>
      http.patch(`/v1${path}`).set(person.auth).set('if-match', `"v${version}"`).send(patch),
    upload: (path: string, csv: string) =>
      http.post(`/v1${path}`).set(person.auth).type('text/csv').send(csv),
    /** All items of a list, page after page. */
    async list<Item extends z.ZodType>(item: Item, path: string): Promise<z.output<Item>[]> {
      const items: z.output<Item>[] = [];
      const first = `${path}${path.includes('?') ? '&' : '?'}limit=200`;
      for (let at: string | null = first; at !== null; ) {
        const page: { items: z.output<Item>[]; nextCursor: string | null } = await get(
          pageOf(item),
          at,
        );
        items.push(...page.items);
        at = page.nextCursor && `${first}&cursor=${encodeURIComponent(page.nextCursor)}`;
      }
      return items;
    },
  };
}

export type Client = ReturnType<typeof clientOf>;

/** Answers of many requests in their order, a few of them at a time. */
export async function fewAtATime<Item, Answer>(
  items: readonly Item[],
  work: (item: Item) => Promise<Answer>,
): Promise<Answer[]> {
  const answers: Answer[] = [];
  for (let at = 0; at < items.length; at += 4) {
    answers.push(...(await Promise.all(items.slice(at, at + 4).map(work))));
  }
  return answers;
}
