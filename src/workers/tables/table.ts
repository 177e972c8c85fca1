import { DomainError, invalidContent } from '../../domain/errors.ts';

/** A file of rows as text, whatever format it came in. */
export interface Table {
  readonly header: TableRow;
  /** Rows below the header, blank ones left out. */
  readonly rows: readonly TableRow[];
}

export interface TableRow {
  /** Line of a text file or row of a sheet on which it begins, from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

export interface TableLimits {
  readonly maxRows: number;
  readonly maxColumns: number;
  readonly maxCellLength: number;
}

/** A file that cannot be taken as a table at all. */
export function unreadable(code: string, message: string, line?: number): DomainError {
  return invalidContent([{ pointer: line === undefined ? '' : `/lines/${line}`, code, message }]);
}

export const tooLarge = (detail: string) => new DomainError('too-large', { detail });

export const isBlank = (cells: readonly string[]) => cells.every((cell) => cell.trim() === '');

/** Collects rows against the limits. */
export class TableBuilder {
  private header: TableRow | null = null;
  private readonly rows: TableRow[] = [];
  private blankCount = 0;
  private readonly limits: TableLimits;

  constructor(limits: TableLimits) {
    this.limits = limits;
  }

  add(line: number, cells: readonly string[]): void {
    const { maxRows, maxColumns, maxCellLength } = this.limits;
    if (cells.length > maxColumns) {
      throw tooLarge(`Line ${line} has ${cells.length} columns; ${maxColumns} is the most.`);
    }
    if (cells.some((cell) => cell.length > maxCellLength)) {
      throw tooLarge(`A cell of line ${line} is longer than ${maxCellLength} characters.`);
    }
    if (isBlank(cells)) {
      this.blankCount += 1;
      if (this.blankCount > maxRows) throw tooLarge(`There are over ${maxRows} blank lines.`);
    } else if (this.header === null) {
      this.header = { line, cells };
    } else {
      if (this.rows.length === maxRows) throw tooLarge(`There are over ${maxRows} rows.`);
      this.rows.push({ line, cells });
    }
  }

  build(): Table {
    if (this.header === null) throw unreadable('file.empty', 'holds no header line');
    return { header: this.header, rows: this.rows };
  }
}
