import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { SOURCES } from '../../../shared/sources.ts';

const cases = new URL('../../published/structure/', import.meta.url);
const tests = new URL('./', import.meta.url);

const files = readdirSync(cases).filter((name) => name.endsWith('.json'));
const testText = readdirSync(tests)
  .filter((name) => name.endsWith('.test.ts'))
  .map((name) => readFileSync(new URL(name, tests), 'utf8'))
  .join('\n');

type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };

function citations(value: Json): Readonly<Record<string, Json>>[] {
  if (typeof value !== 'object' || value === null) return [];
  const inner = Object.values(value).flatMap((one: Json) => citations(one));
  return 'source' in value ? [value as Readonly<Record<string, Json>>, ...inner] : inner;
}

describe('published cases of the structure discipline', () => {
  it.each(files)('%s is read by a test', (file) => {
    expect(testText).toContain(`published/structure/${file}'`);
  });

  it.each(files)(
    '%s cites known sources, says how they were seen and marks what is recalled',
    (file) => {
      const found = citations(JSON.parse(readFileSync(new URL(file, cases), 'utf8')) as Json);
      expect(found.length).toBeGreaterThan(0);
      for (const one of found) {
        const source = String(one.source);
        expect(SOURCES).toHaveProperty([source]);
        expect(one.page, source).toBeTypeOf('string');
        expect(['quoted', 'from-memory', 'own-derivation']).toContain(one.seen);
        if (one.seen === 'from-memory') {
          expect(String(one.recall), source).toContain('[memory]');
        }
      }
    },
  );
});
