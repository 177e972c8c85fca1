import type { FastifyRequest } from 'fastify';
import { type FieldError, invalidContent } from '../domain/errors.ts';

/** NUL, which PostgreSQL keeps in no text, and halves of surrogate pairs, which are no character. */
const UNSTORABLE = /\0|\p{Surrogate}/u;

const MAX_ERRORS = 20;

/** Refuses text that could not be stored, naming where it stands; uploads are not looked into. */
export async function refuseUnstorableText(request: FastifyRequest): Promise<void> {
  const errors = [request.params, request.query, request.body].flatMap(unstorableTexts);
  if (errors.length > 0) throw invalidContent(errors.slice(0, MAX_ERRORS));
}

function unstorableTexts(root: unknown): FieldError[] {
  const errors: FieldError[] = [];
  const left: (readonly [pointer: string, value: unknown])[] = [['', root]];
  for (let next = left.pop(); next !== undefined; next = left.pop()) {
    const [pointer, value] = next;
    if (typeof value === 'string') {
      if (UNSTORABLE.test(value)) errors.push(unstorable(pointer));
    } else if (typeof value === 'object' && value !== null && !isTextless(value)) {
      for (const [key, inner] of Object.entries(value)) {
        const place = `${pointer}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`;
        if (UNSTORABLE.test(key)) errors.push(unstorable(pointer));
        left.push([place, inner]);
      }
    }
  }
  return errors;
}

/** Bytes, and lists of numbers: years of daily rain are not looked through one by one. */
const isTextless = (value: object): boolean =>
  Buffer.isBuffer(value) ||
  (Array.isArray(value) && value.every((inner) => inner === null || typeof inner === 'number'));

const unstorable = (pointer: string): FieldError => ({
  pointer,
  code: 'text.unstorable',
  message: 'holds NUL or half of a surrogate pair, which cannot be kept as text',
});
