import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { HYDROLOGY_SOURCES } from '../../../shared/sources/hydrology.ts';
import { SOURCES } from '../../../shared/sources.ts';

const SHARED = new URL('../../../shared/', import.meta.url);
const files = readdirSync(new URL('hydrology/', SHARED))
  .map((name) => `hydrology/${name}`)
  .concat('units/calendar.ts');
const textOf = (file: string) => readFileSync(new URL(file, SHARED), 'utf8');

/** Inner guards and loops that the barrel does not offer. */
const NOT_OFFERED = new Set([
  'checkedDemand',
  'checkedInflow',
  'requireCount',
  'runPairAfterSpillage',
  'runPairAtConstantDemand',
  'runPairBeforeSpillage',
  'startVolume',
  'storageRecord',
]);

interface Documented {
  readonly name: string;
  readonly comment: string;
}

function publicFunctions(text: string): Documented[] {
  const found = text.matchAll(/(\/\*\*(?:(?!\*\/)[\s\S])*\*\/)?\n?export function (\w+)/g);
  return [...found]
    .map(([, comment = '', name = '']) => ({ name, comment }))
    .filter(({ name }) => !NOT_OFFERED.has(name));
}

describe('sources of the hydrology functions', () => {
  it.each(files)(
    '%s: every public function says what it gives and cites a known source',
    (file) => {
      for (const { name, comment } of publicFunctions(textOf(file))) {
        const cited = [...comment.matchAll(/@source ([\w-]+)/g)].map(([, id = '']) => id);
        expect(cited, `${name} cites a source`).not.toEqual([]);
        for (const id of cited) expect(Object.keys(SOURCES), `${name} cites ${id}`).toContain(id);
        expect(comment, `${name} has a sentence`).toMatch(/\/\*\*\n \* \S[\s\S]{20,}/);
      }
    },
  );

  it('finds the functions it is meant to look at', () => {
    const names = files.flatMap((file) => publicFunctions(textOf(file)).map(({ name }) => name));
    expect(names).toContain('storageReliability');
    expect(names).toContain('monthSpans');
    expect(names.length).toBeGreaterThan(60);
  });

  it('cites or checks against every source of the list', () => {
    const tests = ['engine', 'published'].flatMap((kind) => {
      const folder = new URL(`../../../tests/${kind}/hydrology/`, import.meta.url);
      return readdirSync(folder).map((name) => readFileSync(new URL(name, folder), 'utf8'));
    });
    const text = [...files.map(textOf), ...tests].join('\n');
    const unused = Object.keys(HYDROLOGY_SOURCES).filter((id) => !text.includes(id));
    expect(unused).toEqual([]);
  });
});
