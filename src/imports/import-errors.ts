import type { ImportError } from '../../shared/contract/file-import.ts';

/** Most errors kept of one file; beyond it they are only counted. */
const MAX_KEPT_ERRORS = 100_000;
const MAX_ECHO_LENGTH = 200;

/** Cut to size; half of a surrogate pair, which no database keeps, is left out. */
const echo = (text: string) => text.slice(0, MAX_ECHO_LENGTH).replace(/\p{Surrogate}/gu, '');

interface Found {
  readonly errors: readonly ImportError[];
  readonly errorCount: number;
}

/** Collects what is wrong with a file, all in one pass. */
export class ImportErrors {
  readonly listed: ImportError[];
  count: number;
  private readonly badLines = new Set<number>();

  /** Goes on from what an earlier stage found. */
  constructor(earlier: Found = { errors: [], errorCount: 0 }) {
    this.listed = [...earlier.errors];
    this.count = earlier.errorCount;
  }

  add(
    line: number,
    column: string,
    found: { readonly code: string; readonly hint: string },
    value: string | null,
  ): void {
    this.count += 1;
    this.badLines.add(line);
    if (this.listed.length === MAX_KEPT_ERRORS) return;
    this.listed.push({
      line,
      column: echo(column),
      code: found.code,
      value: value === null ? null : echo(value),
      hint: found.hint,
    });
  }

  /** Brings the errors into the order of the lines. */
  sort(): void {
    this.listed.sort((a, b) => a.line - b.line);
  }

  isBad(line: number): boolean {
    return this.badLines.has(line);
  }
}
