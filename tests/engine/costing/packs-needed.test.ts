import { describe, expect, it } from 'vitest';
import { type Offer, packsNeeded } from '../../../shared/index.ts';

const bags: Offer = {
  offerId: 'o',
  supplierId: 's',
  materialCode: 'cement',
  unitCode: 'KGM',
  packContent: '50',
  packPrice: { amount: '8.00', currency: 'EUR' },
  validFrom: '2026-01-01',
};

describe('packs needed of an offer', () => {
  it.each([
    ['0', {}, 0],
    ['50', {}, 1],
    ['50.000001', {}, 2],
    ['1000', {}, 20],
    // the minimum counts only when anything is needed
    ['0', { minimumPacks: 10 }, 0],
    ['1', { minimumPacks: 10 }, 10],
    ['501', { minimumPacks: 10 }, 11],
    ['1', { packContent: '0.3' }, 4],
  ])('for %s with %j: %i', (quantity, terms, expected) => {
    expect(packsNeeded({ ...bags, ...terms }, quantity)).toBe(expected);
  });

  it.each([{ packContent: '0' }, { minimumPacks: 1.5 }, { minimumPacks: -1 }])(
    'are refused for %j',
    (terms) => {
      expect(() => packsNeeded({ ...bags, ...terms }, '1')).toThrow(
        expect.objectContaining({ name: 'EngineError' }),
      );
    },
  );
});
