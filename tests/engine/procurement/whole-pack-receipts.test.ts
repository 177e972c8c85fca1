import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  compareQuantities,
  subtractQuantities,
  sumQuantities,
  wholePackReceipts,
} from '../../../shared/index.ts';

describe('needs bought week by week in whole packs', () => {
  // Worked by hand: 30 asks for two bags of 25, whose 20 left over serve the next need but for 5.
  it('use what is left over before another pack is bought', () => {
    expect(wholePackReceipts(['30', '0', '25', '20'], '25')).toEqual([
      { packCount: 2, quantity: '50', leftOver: '20' },
      { packCount: 0, quantity: '0', leftOver: '20' },
      { packCount: 1, quantity: '25', leftOver: '20' },
      { packCount: 0, quantity: '0', leftOver: '0' },
    ]);
  });

  it('keep to the least number of packs that is sold', () => {
    expect(wholePackReceipts(['1', '60'], '25', 3)).toEqual([
      { packCount: 3, quantity: '75', leftOver: '74' },
      { packCount: 0, quantity: '0', leftOver: '14' },
    ]);
  });

  it('account for every unit, and never buy a pack that the needs so far do not ask for', () => {
    const quantity = fc.integer({ min: 0, max: 200_000 }).map((milli) => (milli / 1000).toFixed(3));
    fc.assert(
      fc.property(fc.array(quantity, { minLength: 1, maxLength: 12 }), (needs) => {
        const receipts = wholePackReceipts(needs, '7.5');
        const bought = sumQuantities(receipts.map((receipt) => receipt.quantity));
        const left = receipts.at(-1)?.leftOver ?? '0';
        expect(subtractQuantities(bought, sumQuantities(needs))).toBe(left);
        for (const { leftOver } of receipts) {
          expect(compareQuantities(leftOver, '0')).toBeGreaterThanOrEqual(0);
          expect(compareQuantities(leftOver, '7.5')).toBe(-1);
        }
      }),
      { numRuns: 200 },
    );
  });

  it('are refused for a pack that holds nothing', () => {
    expect(() => wholePackReceipts(['1'], '0')).toThrow();
  });
});
