import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { goodsStanding } from '../../shared/index.ts';

const eur = (cents: number) => ({ amount: (cents / 100).toFixed(2), currency: 'EUR' });
const cents = ({ amount }: { amount: string }) => Math.round(Number(amount) * 100);
const quantity = fc.integer({ min: 0, max: 100_000 }).map((grams) => grams / 1_000);

describe('where goods are by value', () => {
  it('adds up to what they cost, each part within a cent of its exact share', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 9_999_999 }),
        fc.integer({ min: 1, max: 100_000 }).map((grams) => grams / 1_000),
        fc.integer({ min: -20_000, max: 120_000 }).map((grams) => grams / 1_000),
        quantity,
        fc.integer({ min: -5_000, max: 200_000 }).map((grams) => grams / 1_000),
        (value, received, used, othersLeft, inHand) => {
          const found = goodsStanding({
            received: received.toFixed(3),
            value: eur(value),
            used: used.toFixed(3),
            othersLeft: othersLeft.toFixed(3),
            inHand: inHand.toFixed(3),
          });
          const parts = [found.used, found.inHand, found.gone].map(cents);
          expect(parts.reduce((sum, part) => sum + part, 0)).toBe(value);
          const inBuilds = Math.min(received, Math.max(0, used));
          const left = received - inBuilds;
          const all = left + othersLeft;
          const stock = Math.max(0, inHand);
          const kept = all < 1e-9 ? 0 : Math.min(left, (stock * left) / all);
          const exact = [inBuilds, kept, left - kept].map((part) => (value * part) / received);
          for (const [index, part] of parts.entries()) {
            // shares of stock are kept to a millionth of the unit
            const tolerance = 1 + (value * 1e-6) / received + 1e-6;
            expect(Math.abs(part - (exact[index] ?? 0))).toBeLessThan(tolerance);
          }
        },
      ),
      { numRuns: 500 },
    );
  });

  it('is nowhere in hand when all is used, and gone when nothing came', () => {
    const of = { value: eur(1_000), othersLeft: '0', inHand: '50' };
    const used = goodsStanding({ ...of, received: '10', used: '12' });
    expect(used.used).toEqual(eur(1_000));
    expect(goodsStanding({ ...of, received: '0', used: '0' }).gone).toEqual(eur(1_000));
  });
});
