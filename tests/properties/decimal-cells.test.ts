import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readDecimal } from '../../src/workers/tables/cell-values.ts';

describe('a decimal of a cell', () => {
  it.each([
    ['8.40', '8.4'],
    ['8,40', '8.4'],
    ['007', '7'],
    ['.5', '0.5'],
    ['12 500,25', '12500.25'],
    ['-0.0', '0'],
    ['\u22123.10', '-3.1'],
    ['12345678901234.123456', '12345678901234.123456'],
  ])('reads %s as %s', (text, value) => {
    expect(readDecimal(text)).toEqual({ value });
  });

  it.each([
    ['1,200', 'number.ambiguous'],
    ['1e3', 'number.unreadable'],
    ['8.40 EUR', 'number.unreadable'],
    ['', 'number.unreadable'],
    ['.', 'number.unreadable'],
  ])('refuses %s', (text, code) => {
    expect(readDecimal(text)).toMatchObject({ fault: { code } });
  });

  it('keeps every digit of any number written out', () => {
    fc.assert(
      fc.property(
        fc.bigInt(0n, 10n ** 14n),
        fc.integer({ min: 0, max: 999_999 }),
        (whole, rest) => {
          const text = `${whole}.${String(rest).padStart(6, '0')}`;
          const read = readDecimal(text);
          const value = 'value' in read ? read.value : '';
          const [units = '', decimals = ''] = value.split('.');
          expect(`${units}.${decimals.padEnd(6, '0')}`).toBe(text);
          expect(value).not.toMatch(/\.$|\.\d*0$/);
        },
      ),
    );
  });
});
