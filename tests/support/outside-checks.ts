import { readdirSync, readFileSync } from 'node:fs';
import { SOURCES, type Source, type SourceId } from '../../shared/sources.ts';

/** How the project knows a figure that a test holds the engine against. */
export type Known = Source['seen'];

export interface CheckCount {
  /** Id of the source; figures without one are worked by hand beside the test. */
  readonly source: SourceId | 'worked by hand';
  readonly seen: Known;
  /** Figures as the source gives them. */
  readonly given: number;
  /** Figures of the same case worked out again by a program apart from the engine. */
  readonly workedAgain: number;
}

type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };

const PUBLISHED = new URL('../published/', import.meta.url);
const FIGURE = /^~?[+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?$/;

/** Case files of outside figures, by path below `tests/published`. */
export function caseFiles(): string[] {
  return readdirSync(PUBLISHED).flatMap((folder) =>
    readdirSync(new URL(`${folder}/`, PUBLISHED))
      .filter((name) => name.endsWith('.json'))
      .map((name) => `${folder}/${name}`),
  );
}

export const readCases = (file: string): Json =>
  JSON.parse(readFileSync(new URL(file, PUBLISHED), 'utf8')) as Json;

/**
 * Figures in a text of the case files: those given to a source's own rounding are kept as text, so
 * that their last place is known; inputs and tolerances are kept as numbers and do not count.
 */
function figuresIn(text: string): number {
  const parts = text.split(',').map((part) => part.trim());
  return parts.every((part) => FIGURE.test(part)) ? parts.length : 0;
}

const isKnown = (id: string): id is SourceId => Object.hasOwn(SOURCES, id);
const KNOWN: readonly string[] = [
  'in-print',
  'quoted',
  'from-memory',
  'own-derivation',
  'common-practice',
];

interface Cited {
  readonly source: CheckCount['source'];
  readonly seen: Known;
}

function citation(node: { readonly [key: string]: Json }, around: Cited): Cited {
  if (typeof node.source !== 'string') return around;
  const source = node.source.match(/[\w-]+/g)?.find(isKnown) ?? 'worked by hand';
  const usual = source === 'worked by hand' ? 'own-derivation' : SOURCES[source].seen;
  const isOwn = typeof node.seen === 'string' && KNOWN.includes(node.seen);
  const isRecalled = node.source.includes('[memory]');
  const seen = isOwn ? (node.seen as Known) : isRecalled ? 'from-memory' : usual;
  return { source, seen };
}

/** Figures of a case file, by source and by how the source is known. */
export function outsideChecks(cases: Json): CheckCount[] {
  const counts = new Map<string, CheckCount>();
  const visit = (node: Json, cited: Cited, isWorkedAgain: boolean): void => {
    if (typeof node === 'string') {
      const figures = figuresIn(node);
      if (figures === 0) return;
      const key = `${cited.source} ${cited.seen}`;
      const so = counts.get(key) ?? { ...cited, given: 0, workedAgain: 0 };
      counts.set(
        key,
        isWorkedAgain
          ? { ...so, workedAgain: so.workedAgain + figures }
          : { ...so, given: so.given + figures },
      );
      return;
    }
    if (typeof node !== 'object' || node === null) return;
    if (Array.isArray(node)) {
      for (const item of node as readonly Json[]) visit(item, cited, isWorkedAgain);
      return;
    }
    const record = node as { readonly [key: string]: Json };
    const own = citation(record, cited);
    for (const [key, value] of Object.entries(record)) {
      if (key !== 'page') visit(value, own, isWorkedAgain || /independent/i.test(key));
    }
  };
  visit(cases, { source: 'worked by hand', seen: 'own-derivation' }, false);
  return [...counts.values()];
}

/** Counts of several case files together, the most figures first. */
export function addedUp(counts: readonly CheckCount[]): CheckCount[] {
  const sums = new Map<string, CheckCount>();
  for (const one of counts) {
    const key = `${one.source} ${one.seen}`;
    const so = sums.get(key);
    sums.set(key, {
      ...one,
      given: one.given + (so?.given ?? 0),
      workedAgain: one.workedAgain + (so?.workedAgain ?? 0),
    });
  }
  const all = ({ given, workedAgain }: CheckCount) => given + workedAgain;
  return [...sums.values()].sort((a, b) => all(b) - all(a) || (a.source < b.source ? -1 : 1));
}

/** The table that a run of the tests ends with. */
export function checkTable(counts: readonly CheckCount[]): string {
  const total = (pick: (one: CheckCount) => number) =>
    counts.reduce((sum, one) => sum + pick(one), 0);
  const rows = [
    ['source', 'known', 'given', 'worked again'],
    ...counts.map(({ source, seen, given, workedAgain }) => [
      source,
      seen,
      String(given),
      String(workedAgain),
    ]),
    ['all', '', String(total((one) => one.given)), String(total((one) => one.workedAgain))],
  ];
  const widths = [0, 1, 2, 3].map((column) =>
    Math.max(...rows.map((row) => (row[column] ?? '').length)),
  );
  const lines = rows.map((row) =>
    row
      .map((cell, column) =>
        column < 2 ? cell.padEnd(widths[column] ?? 0) : cell.padStart(widths[column] ?? 0),
      )
      .join('  ')
      .trimEnd(),
  );
  return lines.join('\n');
}
