import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { SOURCES } from '../../shared/sources.ts';
import a1 from '../published/structure/pca-a-1-hoop-fixed.json' with { type: 'json' };
import {
  addedUp,
  caseFiles,
  checkTable,
  outsideChecks,
  readCases,
} from '../support/outside-checks.ts';
import { calledInTests, engineFunctions, testTexts } from './engine-exports.ts';

/** Folders of `shared/` that hold no formulas: wire shapes, and the list of sources. */
const NO_DISCIPLINE = ['contract', 'sources'];

/** Reads every file of the engine with the compiler. */
const timeout = 60_000;

describe('what shared/index.ts offers', { timeout }, () => {
  const functions = engineFunctions();
  const called = calledInTests(['engine', 'published', 'properties']);
  const named = (those: typeof functions) =>
    those.map(({ discipline, name }) => `${discipline}/${name}`);

  it('is found, in every discipline', () => {
    const folders = readdirSync(new URL('../../shared/', import.meta.url), { withFileTypes: true })
      .filter((entry) => entry.isDirectory() && !NO_DISCIPLINE.includes(entry.name))
      .map(({ name }) => name);
    expect([...new Set(functions.map(({ discipline }) => discipline))].sort()).toEqual(
      folders.sort(),
    );
    expect(named(functions)).toEqual(
      expect.arrayContaining(['structure/cylinderWall', 'scheduling/isWithinLimits']),
    );
    expect(functions.length).toBeGreaterThan(240);
  });

  it('says in a sentence what it gives', () => {
    const silent = functions.filter(({ summary }) => !/^\S[^\n]{15,}/.test(summary));
    expect(named(silent)).toEqual([]);
  });

  it('cites sources of the list', () => {
    expect(named(functions.filter(({ sources }) => sources.length === 0))).toEqual([]);
    const unknown = functions.flatMap(({ name, sources }) =>
      sources.filter((id) => !Object.hasOwn(SOURCES, id)).map((id) => `${name} cites ${id}`),
    );
    expect(unknown).toEqual([]);
  });

  it('is called by a test', () => {
    expect(named(functions.filter(({ name }) => !called.has(name)))).toEqual([]);
    expect(called.has('aFunctionThatNoTestCalls')).toBe(false);
  });
});

describe('outside figures', () => {
  const files = caseFiles();

  it.each(files)('of %s are read by a test', (file) => {
    const name = file.split('/').at(-1);
    const readers = testTexts(['engine', 'published']).filter((text) => text.includes(`/${name}'`));
    expect(readers.length).toBeGreaterThan(0);
  });

  it('are counted by source and not by input or tolerance', () => {
    // table A-1: 14 rows of 10 cells, each given and worked again
    expect(a1.rows).toHaveLength(14);
    expect(outsideChecks(readCases('structure/pca-a-1-hoop-fixed.json'))).toEqual([
      { source: 'pca-1993', seen: 'from-memory', given: 140, workedAgain: 140 },
    ]);
    // table A-12: 14 rows of 3 cells
    expect(outsideChecks(readCases('structure/pca-a-12-base-shear.json'))).toEqual([
      { source: 'pca-1993', seen: 'from-memory', given: 42, workedAgain: 42 },
    ]);
    const made = {
      source: 'is-1904 with words',
      input: { depth: 3 },
      page: '12',
      note: '3 pages',
      rows: [{ at: 1, printed: '1.0, 2.5', why: '4 of 5' }],
      hand: { source: 'nobody', seen: 'quoted', cell: '~7' },
    };
    expect(outsideChecks(made)).toEqual([
      { source: 'is-1904', seen: SOURCES['is-1904'].seen, given: 2, workedAgain: 0 },
      { source: 'worked by hand', seen: 'quoted', given: 1, workedAgain: 0 },
    ]);
  });

  it('add up to a table that names every source once', () => {
    const counts = addedUp(files.flatMap((file) => outsideChecks(readCases(file))));
    const table = checkTable(counts).split('\n');
    expect(table).toHaveLength(counts.length + 2);
    const all = counts.reduce((sum, { given }) => sum + given, 0);
    expect(table.at(-1)).toMatch(new RegExp(`^all +${all} `));
    // the four main tables of 140 cells are more than half of pca-1993
    expect(all).toBeGreaterThan(4 * 140);
  });
});
