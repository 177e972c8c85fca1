import { parse } from 'csv-parse/sync';
import ExcelJs from 'exceljs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { inertText, originalText } from '../../src/http/table-cells.ts';
import { type Column, csvTable, xlsxTable } from '../../src/http/table-export.ts';

interface Row {
  readonly text: string;
  readonly quantity: string;
}

const COLUMNS: readonly Column<Row>[] = [
  { header: 'text', value: ({ text }) => text },
  { header: 'quantity', value: ({ quantity }) => quantity, isNumber: true },
];

const TRIGGERS = ['=', '+', '-', '@', '\t', '\r', '\n'];

const anyText = fc.oneof(
  fc.string({ unit: 'grapheme' }),
  fc.string({ unit: 'binary' }),
  fc
    .tuple(fc.constantFrom(...TRIGGERS, "'", "''", ' ', '"', ',', '_x0041_', '\r\n'), fc.string())
    .map(([start, rest]) => start + rest),
  fc.constantFrom("'=1", '-5', "'-5", '=HYPERLINK("x")', '@SUM(1)', '1e5', '0012', 'a;b', ''),
);

const decimalText = fc
  .tuple(fc.integer({ min: -999_999_999, max: 999_999_999 }), fc.integer({ min: 0, max: 6 }))
  .map(([value, decimals]) => (value / 10 ** decimals).toFixed(decimals));

const rows: fc.Arbitrary<Row[]> = fc.array(fc.record({ text: anyText, quantity: decimalText }), {
  minLength: 1,
  maxLength: 12,
});

const isPlainNumber = (text: string) => /^-?\d+(\.\d+)?$/.test(text);

function expectInert(text: string) {
  if (isPlainNumber(text)) return;
  expect(TRIGGERS).not.toContain(text[0]);
}

describe('text in an exported table', () => {
  it('never starts like a formula, and the original is found again', () => {
    fc.assert(
      fc.property(anyText, (text) => {
        const inert = inertText(text);
        expectInert(inert);
        expect(originalText(inert)).toBe(text);
      }),
      { numRuns: 2_000 },
    );
  });
});

describe('a table as CSV', () => {
  it('comes back from a strict reader cell by cell, numbers digit by digit', () => {
    fc.assert(
      fc.property(rows, (list) => {
        const { content } = csvTable('t.csv', COLUMNS, list);
        // csv-parse is a reader of its own; it refuses what RFC 4180 does not allow
        const [header, ...read] = parse(content, {
          bom: true,
          record_delimiter: '\r\n',
          relax_column_count: false,
        }) as string[][];
        expect(header).toEqual(['text', 'quantity']);
        for (const [text] of read) expectInert(text ?? '');
        expect(
          read.map(([text, quantity]) => ({ text: originalText(text ?? ''), quantity })),
        ).toEqual(list);
      }),
      { numRuns: 500 },
    );
  });

  it('ends every line with CRLF and has a byte order mark unless told otherwise', () => {
    const list = [{ text: 'a "b", c', quantity: '-1.50' }];
    const lines = 'text,quantity\r\n"a ""b"", c",-1.50\r\n';
    expect(csvTable('t.csv', COLUMNS, list).content).toBe(`\ufeff${lines}`);
    expect(csvTable('t.csv', COLUMNS, list, { byteOrderMark: false }).content).toBe(lines);
  });
});

describe('a table as a workbook', () => {
  it('comes back cell by cell: text as inert text, numbers as numbers', async () => {
    await fc.assert(
      fc.asyncProperty(rows, async (list) => {
        const { content } = await xlsxTable('t.xlsx', 'Lines: 1/2', COLUMNS, list);
        const workbook = new ExcelJs.Workbook();
        await workbook.xlsx.load(content as unknown as ExcelJs.Buffer);
        const sheet = workbook.worksheets[0];
        expect(sheet?.name).toBe('Lines  1 2');
        expect(sheet?.rowCount).toBe(list.length + 1);
        for (const [index, { text, quantity }] of list.entries()) {
          const row = sheet?.getRow(index + 2);
          const cell = String(row?.getCell(1).value ?? '');
          expectInert(cell);
          expect(originalText(cell)).toBe(text.replace(/\p{Surrogate}/gu, '\ufffd'));
          expect(row?.getCell(1).formula).toBeUndefined();
          expect(row?.getCell(2).value).toBe(Number(quantity));
        }
      }),
      { numRuns: 60 },
    );
  }, 60_000);

  it('keeps a number of more digits than a spreadsheet holds as text', async () => {
    const list = [{ text: '', quantity: '1234567890123456.5' }];
    const { content } = await xlsxTable('t.xlsx', 'T', COLUMNS, list);
    const workbook = new ExcelJs.Workbook();
    await workbook.xlsx.load(content as unknown as ExcelJs.Buffer);
    expect(workbook.worksheets[0]?.getCell('B2').value).toBe('1234567890123456.5');
  });
});
