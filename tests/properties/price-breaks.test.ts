import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type BreakRule,
  breakFaults,
  cheapestPacks,
  compareMoney,
  type Offer,
  offerAmount,
  packsNeeded,
  subtractMoney,
} from '../../shared/index.ts';

const cents = (value: number) => (value / 100).toFixed(2);

/** Offers with one to five breaks, each later and cheaper than the one before. */
const offerWith = (breakRule: BreakRule): fc.Arbitrary<Offer> =>
  fc
    .record({
      minimumPacks: fc.integer({ min: 0, max: 5 }),
      steps: fc.array(
        fc.record({
          packs: fc.integer({ min: 1, max: 40 }),
          less: fc.integer({ min: 1, max: 90 }),
        }),
        { minLength: 1, maxLength: 5 },
      ),
    })
    .map(({ minimumPacks, steps }) => {
      let [fromPacks, price] = [Math.max(1, minimumPacks), 999];
      return {
        offerId: 'o',
        supplierId: 's',
        materialCode: 'm',
        unitCode: 'KGM',
        packContent: '1',
        packPrice: { amount: cents(price), currency: 'EUR' },
        minimumPacks,
        priceBreaks: steps.map(({ packs, less }) => {
          fromPacks += packs;
          price -= less;
          return { fromPacks, pricePerPack: cents(price) };
        }),
        breakRule,
        validFrom: '2026-01-01',
      };
    });

const MOST_PACKS = 260;
const counts = fc.integer({ min: 1, max: MOST_PACKS });
const isBreak = (offer: Offer, packs: number) =>
  (offer.priceBreaks ?? []).some(({ fromPacks }) => fromPacks === packs);

describe('all-units breaks', () => {
  it('cost more for one pack more, unless that pack reaches a break', () => {
    fc.assert(
      fc.property(offerWith('all-units'), counts, (offer, packs) => {
        expect(
          breakFaults({ ...offer, pricePerPack: '9.99', priceBreaks: offer.priceBreaks ?? [] }),
        ).toEqual([]);
        const step = subtractMoney(offerAmount(offer, packs + 1), offerAmount(offer, packs));
        if (!isBreak(offer, packs + 1)) expect(Number(step.amount)).toBeGreaterThan(0);
      }),
      { numRuns: 500 },
    );
  });

  it('are searched for the larger buy that costs less, as trying every size does', () => {
    fc.assert(
      fc.property(offerWith('all-units'), counts, (offer, quantity) => {
        const needed = packsNeeded(offer, String(quantity));
        let best = needed;
        for (let packs = needed + 1; packs <= needed + MOST_PACKS; packs += 1) {
          const isCheaper = compareMoney(offerAmount(offer, packs), offerAmount(offer, best)) < 0;
          if (isCheaper) best = packs;
        }
        expect(cheapestPacks(offer, String(quantity))).toBe(best);
      }),
      { numRuns: 60 },
    );
  });
});

describe('incremental breaks', () => {
  it('add the price of the step for each pack more, and never jump', () => {
    fc.assert(
      fc.property(offerWith('incremental'), counts, (offer, packs) => {
        const step = subtractMoney(offerAmount(offer, packs + 1), offerAmount(offer, packs));
        const reached = (offer.priceBreaks ?? []).filter(({ fromPacks }) => fromPacks <= packs);
        expect(step.amount).toBe(reached.at(-1)?.pricePerPack ?? offer.packPrice.amount);
      }),
      { numRuns: 500 },
    );
  });

  it('never make a larger buy cheaper, and never cost less than all-units', () => {
    fc.assert(
      fc.property(offerWith('incremental'), counts, (offer, packs) => {
        const needed = packsNeeded(offer, String(packs));
        expect(cheapestPacks(offer, String(packs))).toBe(needed);
        const whole = offerAmount({ ...offer, breakRule: 'all-units' }, packs);
        expect(compareMoney(offerAmount(offer, packs), whole)).toBeGreaterThanOrEqual(0);
      }),
      { numRuns: 300 },
    );
  });
});
