import { CsvError, parse } from 'csv-parse/sync';
import { DomainError } from '../../domain/errors.ts';
import { decodeText } from './decode-text.ts';
import { type Table, TableBuilder, type TableLimits, tooLarge, unreadable } from './table.ts';

const DELIMITERS = [',', ';', '\t'] as const;
/** Longest record taken [bytes]; an opening quote that is never closed swallows no more than this. */
const MAX_RECORD_BYTES = 2_500_000;

/**
 * Reads delimited text: comma, semicolon or tab, whichever the first line holds most of; any line
 * ends; quotes as in RFC 4180.
 *
 * @throws {DomainError} `invalid-content` with the line for text that is not UTF-8 or has a quote
 *   out of place; `too-large` beyond a limit
 */
export function readCsv(bytes: Uint8Array, limits: TableLimits): Table {
  // The parser counts a CRLF inside quotes as two lines.
  const text = decodeText(bytes).replace(/\r\n?/g, '\n');
  const table = new TableBuilder(limits);
  let linesBefore = 0;
  try {
    parse(text, {
      delimiter: delimiterOf(text),
      record_delimiter: '\n',
      relax_column_count: true,
      max_record_size: MAX_RECORD_BYTES,
      on_record: (record: string[], { lines }) => {
        table.add(linesBefore + 1, record);
        linesBefore = lines;
        return null;
      },
    });
  } catch (error) {
    throw refusalOf(error, linesBefore + 1);
  }
  return table.build();
}

function delimiterOf(text: string): string {
  const firstLine = /^\s*([^\n]*)/.exec(text)?.[1] ?? '';
  const unquoted = firstLine.replace(/"[^"]*"/g, '');
  const count = (delimiter: string) => unquoted.split(delimiter).length;
  return DELIMITERS.reduce<string>(
    (most, delimiter) => (count(delimiter) > count(most) ? delimiter : most),
    ',',
  );
}

function refusalOf(error: unknown, line: number): unknown {
  if (error instanceof DomainError || !(error instanceof CsvError)) return error;
  switch (error.code) {
    case 'CSV_MAX_RECORD_SIZE':
      return tooLarge(`The record on line ${line} is too long; a quote may not be closed.`);
    case 'CSV_QUOTE_NOT_CLOSED':
      return unreadable('quote.not-closed', 'opens a quote that is never closed', line);
    default:
      return unreadable(
        'quote.misplaced',
        'has a quote inside a cell; put the cell in quotes and double the quotes inside it',
        line,
      );
  }
}
