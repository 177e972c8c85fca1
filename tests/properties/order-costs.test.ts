import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { timesMoney } from '../../shared/costing/money.ts';
import { orderCostStanding, valueOfPart } from '../../shared/procurement/order-cost-standing.ts';
import { PROPERTY_RUNS } from '../support/answered.ts';

const cents = (amount: string) => Math.round(Number(amount) * 100);

/** Packs of 50 at a price; what came and what was paid of them, in hundredths of a kilogram. */
const orderLine = fc
  .record({
    packs: fc.integer({ min: 0, max: 2_000 }),
    priceCents: fc.integer({ min: 0, max: 100_000 }),
    receivedShare: fc.double({ min: 0, max: 1.2, noNaN: true }),
    paidShare: fc.double({ min: 0, max: 1.2, noNaN: true }),
  })
  .map(({ packs, priceCents, receivedShare, paidShare }) => {
    const ordered = packs * 50;
    const price = { amount: (priceCents / 100).toFixed(2), currency: 'EUR' };
    return {
      orderedQuantity: String(ordered),
      amount: timesMoney(price, packs),
      receivedQuantity: (ordered * receivedShare).toFixed(2),
      paidQuantity: (ordered * paidShare).toFixed(2),
    };
  });

describe('what an order costs', { timeout: 60_000 }, () => {
  it('is committed, owed and paid, and nothing else, to the cent', () => {
    fc.assert(
      fc.property(fc.array(orderLine, { minLength: 1, maxLength: 4 }), (lines) => {
        const open = orderCostStanding(lines, 'EUR', true);
        const total = lines.reduce((sum, { amount }) => sum + cents(amount.amount), 0);
        const { committed, accrued, paidAtOrderPrices } = open;
        const parts = [committed, accrued, paidAtOrderPrices].map(({ amount }) => cents(amount));
        expect(parts.reduce((sum, part) => sum + part, 0)).toBe(total);
        for (const part of parts) expect(part).toBeGreaterThanOrEqual(0);
        const ended = orderCostStanding(lines, 'EUR', false);
        expect(ended).toMatchObject({ committed: { amount: '0.00' }, accrued, paidAtOrderPrices });
      }),
      { numRuns: PROPERTY_RUNS },
    );
  });

  it('is within a cent of quantity times price, and grows with what comes', () => {
    fc.assert(
      fc.property(orderLine, fc.double({ min: 0, max: 1, noNaN: true }), (line, share) => {
        const { amount, orderedQuantity, receivedQuantity } = line;
        fc.pre(orderedQuantity !== '0');
        const worth = cents(valueOfPart(amount, orderedQuantity, receivedQuantity).amount);
        const capped = Math.min(Number(receivedQuantity), Number(orderedQuantity));
        const exact = (cents(amount.amount) * capped) / Number(orderedQuantity);
        expect(Math.abs(worth - exact)).toBeLessThanOrEqual(0.5 + 1e-6);
        const less = (Number(receivedQuantity) * share).toFixed(2);
        fc.pre(Number(less) <= Number(receivedQuantity));
        const before = valueOfPart(amount, orderedQuantity, less);
        expect(cents(before.amount)).toBeLessThanOrEqual(worth);
      }),
      { numRuns: PROPERTY_RUNS },
    );
  });
});
