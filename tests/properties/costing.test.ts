import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  addMoney,
  allocateDecimal,
  allocateMoney,
  cheapestValidOffer,
  currencyCodes,
  currencyExponent,
  estimateCost,
  lineAmount,
  type Offer,
  rollUpCosts,
  splitOverGrants,
  subtractMoney,
  sumMoney,
  toQuantity,
} from '../../shared/index.ts';

// Solving and thousands of draws are slow on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const currency = fc.constantFrom('EUR', 'UGX', 'KWD', 'INR');

/** Whole minor units of a written amount, by text alone. */
function minorUnits(money: { amount: string; currency: string }): bigint {
  const decimals = money.amount.split('.')[1]?.length ?? 0;
  expect(decimals).toBe(currencyExponent(money.currency));
  return BigInt(money.amount.replace('.', ''));
}

function written(units: bigint, code: string): { amount: string; currency: string } {
  const exponent = currencyExponent(code);
  const size = (units < 0n ? -units : units).toString().padStart(exponent + 1, '0');
  const whole = size.slice(0, size.length - exponent);
  const text = exponent === 0 ? whole : `${whole}.${size.slice(-exponent)}`;
  return { amount: units < 0n ? `-${text}` : text, currency: code };
}

const quantityMicro = fc.integer({ min: 0, max: 2_000_000_000 });

describe('money', () => {
  it('multiplies a line exactly and rounds half to even once', () => {
    fc.assert(
      fc.property(currency, quantityMicro, quantityMicro, (code, quantity, rate) => {
        const found = minorUnits(
          lineAmount(toQuantity(quantity / 1e6), toQuantity(rate / 1e6), code),
        );
        // exact product has 12 decimals; independent rounding on integers
        const product = BigInt(quantity) * BigInt(rate);
        const divisor = 10n ** BigInt(12 - currencyExponent(code));
        const floor = product / divisor;
        const twice = (product % divisor) * 2n;
        const up = twice > divisor || (twice === divisor && floor % 2n === 1n);
        expect(found).toBe(up ? floor + 1n : floor);
      }),
      { numRuns: 300 },
    );
  });

  it('adds and subtracts without loss in every currency', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...currencyCodes()),
        fc.bigInt({ min: -(10n ** 14n), max: 10n ** 14n }),
        fc.bigInt({ min: -(10n ** 14n), max: 10n ** 14n }),
        (code, a, b) => {
          const [first, second] = [written(a, code), written(b, code)];
          expect(minorUnits(addMoney(first, second))).toBe(a + b);
          expect(minorUnits(subtractMoney(first, second))).toBe(a - b);
        },
      ),
    );
  });
});

describe('allocation by largest remainder', () => {
  const weights = fc
    .array(fc.integer({ min: 0, max: 1_000_000 }), { minLength: 1, maxLength: 12 })
    .filter((list) => list.some((weight) => weight > 0));

  it('adds up exactly, stays within one minor unit and keeps the order of weights', () => {
    fc.assert(
      fc.property(
        currency,
        fc.bigInt({ min: -(10n ** 12n), max: 10n ** 12n }),
        weights,
        (code, total, list) => {
          const parts = allocateMoney(
            written(total, code),
            list.map((weight) => toQuantity(weight / 1000)),
          ).map(minorUnits);
          expect(parts.reduce((sum, part) => sum + part, 0n)).toBe(total);
          const all = BigInt(list.reduce((sum, weight) => sum + weight, 0));
          for (const [index, part] of parts.entries()) {
            const error = part * all - total * BigInt(list[index] ?? 0);
            expect(error < all && error > -all).toBe(true);
            for (const [other, otherPart] of parts.entries()) {
              if ((list[index] ?? 0) > (list[other] ?? 0) && total > 0n) {
                expect(part >= otherPart).toBe(true);
              }
            }
          }
        },
      ),
      { numRuns: 200 },
    );
  });

  it('splits 1 into six decimals that add up to exactly 1', () => {
    fc.assert(
      fc.property(weights, (list) => {
        const parts = allocateDecimal('1', list.map(String), 6);
        const sum = parts.reduce((running, part) => running + BigInt(part.replace('.', '')), 0n);
        expect(sum).toBe(1_000_000n);
      }),
    );
  });

  it('splits a cost over grants so that the grants add up to it', () => {
    fc.assert(
      fc.property(fc.bigInt({ min: 0n, max: 10n ** 12n }), weights, (total, list) => {
        const shares = allocateDecimal('1', list.map(String), 9);
        const cost = written(total, 'EUR');
        const split = splitOverGrants(
          cost,
          shares.map((shareRatio, index) => ({ grantId: `grant-${index}`, shareRatio })),
        );
        expect(
          sumMoney(
            split.map((part) => part.amount),
            'EUR',
          ),
        ).toEqual(cost);
      }),
    );
  });
});

describe('estimates', () => {
  const bill = fc.array(
    fc.record({
      stageCode: fc.constantFrom('slab', 'wall', 'roof'),
      part: fc.constantFrom('a', 'b'),
      materialCode: fc.constantFrom('cement', 'sand', 'tap'),
      withWasteQuantity: quantityMicro.map((micro) => toQuantity(micro / 1e6)),
      rate: quantityMicro.map((micro) => toQuantity(micro / 1e6)),
    }),
    { maxLength: 25 },
  );

  it('total the sum of their lines, whichever way they are grouped', () => {
    fc.assert(
      fc.property(currency, bill, (code, rows) => {
        const lines = rows.map((row, index) => ({
          ...row,
          lineCode: `line-${index}`,
          unitCode: 'KGM',
        }));
        const rates = ['cement', 'sand', 'tap'].map((materialCode, index) => ({
          materialCode,
          unitCode: 'KGM',
          unitRate: rows[index]?.rate ?? '1.25',
          currency: code,
          validFrom: '2026-01-01',
        }));
        const estimate = estimateCost(lines, rates, '2026-02-01', code);
        const total = minorUnits(estimate.total);
        const sum = (list: readonly { amount: string; currency: string }[]): bigint =>
          list.reduce((running, money) => running + minorUnits(money), 0n);
        expect(estimate.lines).toHaveLength(lines.length);
        expect(estimate.unpriced).toEqual([]);
        expect(sum(estimate.lines.map((line) => line.amount))).toBe(total);
        for (const group of [estimate.byPart, estimate.byStage, estimate.byMaterial]) {
          expect(sum(Object.values(group))).toBe(total);
        }
        const rolled = rollUpCosts(
          estimate.lines.map((line) => ({
            path: [line.stageCode, line.part],
            amount: line.amount,
          })),
          code,
        );
        for (const depth of [0, 1, 2]) {
          const level = rolled.filter((node) => node.path.length === depth);
          expect(sum(level.map((node) => node.amount))).toBe(total);
        }
      }),
      { numRuns: 80 },
    );
  });
});

describe('choice of an offer', () => {
  const offers = fc.array(
    fc.record({
      packContent: fc.integer({ min: 1, max: 60 }).map(String),
      price: fc.integer({ min: 1, max: 50_000 }),
      minimumPacks: fc.integer({ min: 0, max: 30 }),
      validFrom: fc.constantFrom('2026-01-01', '2026-03-01'),
      validUntil: fc.constantFrom(null, '2026-02-15', '2026-06-30'),
    }),
    { maxLength: 8 },
  );

  it('costs no more than any offer that holds, tried one by one', () => {
    fc.assert(
      fc.property(
        offers,
        fc.integer({ min: 1, max: 2000 }),
        fc.constantFrom('2026-01-20', '2026-03-10', '2026-07-01'),
        (rows, quantity, onDate) => {
          const list: Offer[] = rows.map(({ price, ...row }, index) => ({
            ...row,
            offerId: `offer-${index}`,
            supplierId: 's',
            materialCode: 'cement',
            unitCode: 'KGM',
            packPrice: written(BigInt(price), 'EUR'),
          }));
          const { best, refused } = cheapestValidOffer(list, onDate, {
            materialCode: 'cement',
            unitCode: 'KGM',
            quantity: String(quantity),
            currency: 'EUR',
          });
          const costs = rows
            .filter((row) => row.validFrom <= onDate && onDate <= (row.validUntil ?? '9999'))
            .map(
              (row) =>
                Math.max(Math.ceil(quantity / Number(row.packContent)), row.minimumPacks) *
                row.price,
            );
          if (costs.length === 0) expect(best).toBeNull();
          else
            expect(minorUnits(best?.amount ?? written(-1n, 'EUR'))).toBe(
              BigInt(Math.min(...costs)),
            );
          expect(refused).toHaveLength(rows.length - costs.length);
        },
      ),
      { numRuns: 200 },
    );
  });
});
