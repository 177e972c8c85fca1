import { describe, expect, it } from 'vitest';
import {
  addMoney,
  allocateMoney,
  availableBudget,
  cheapestValidOffer,
  compareMoney,
  currencyCodes,
  currencyExponent,
  exchangeMoney,
  lineAmount,
  money,
  type Offer,
  packUnitRate,
  requireNotDoubleFunded,
  splitOverGrants,
  subtractMoney,
  sumMoney,
  timesMoney,
  zeroMoney,
} from '../../../shared/index.ts';

const eur = (amount: string) => money(amount, 'EUR');

describe('currencies', () => {
  // ISO 4217 minor units [memory]: none for JPY, VND, UGX, XOF; three for KWD, TND
  it.each([
    ['EUR', 2],
    ['INR', 2],
    ['KES', 2],
    ['UGX', 0],
    ['XOF', 0],
    ['XAF', 0],
    ['RWF', 0],
    ['JPY', 0],
    ['VND', 0],
    ['KWD', 3],
    ['TND', 3],
    ['BHD', 3],
    ['CLF', 4],
    ['MGA', 2],
  ])('%s has %s decimals', (code, exponent) => {
    expect(currencyExponent(code)).toBe(exponent);
    expect(money('7', code).amount).toBe(exponent === 0 ? '7' : `7.${'0'.repeat(exponent)}`);
  });

  it('agrees with the runtime, which follows ISO 4217 but for local habits', () => {
    // An independent table: ECMA-402 takes the ISO minor unit, its data rounds some to habit.
    const differs = currencyCodes().filter((code) => {
      const format = new Intl.NumberFormat('en', { style: 'currency', currency: code });
      return format.resolvedOptions().maximumFractionDigits !== currencyExponent(code);
    });
    expect(differs.length).toBeLessThan(30);
    for (const code of ['EUR', 'USD', 'INR', 'KES', 'NPR', 'GHS', 'ETB', 'TND', 'UGX', 'XOF']) {
      expect(differs).not.toContain(code);
    }
  });

  it('knows every code once and in order', () => {
    const codes = currencyCodes();
    expect(new Set(codes).size).toBe(codes.length);
    expect([...codes].sort()).toEqual(codes);
    expect(codes.every((code) => /^[A-Z]{3}$/.test(code))).toBe(true);
  });

  it.each(['eur', 'XXX', 'EURO', ''])('refuses %s', (code) => {
    expect(() => currencyExponent(code)).toThrow(/^currency /);
  });
});

describe('amounts', () => {
  it.each([
    ['1250', '1250.00'],
    ['0.5', '0.50'],
    ['-3.1', '-3.10'],
    ['-0', '0.00'],
    ['-0.00', '0.00'],
  ])('writes %s as %s', (text, written) => {
    expect(eur(text)).toEqual({ amount: written, currency: 'EUR' });
  });

  it.each(['1.005', '1,50', '', '.5', '1e3', 'NaN', '1 000'])('refuses %j', (text) => {
    expect(() => eur(text)).toThrow(/^amount /);
  });

  it('refuses cents of a currency that has none', () => {
    expect(() => money('100.50', 'UGX')).toThrow(/^amount /);
  });

  it('keeps what floats lose', () => {
    expect(sumMoney([eur('0.10'), eur('0.20')], 'EUR')).toEqual(eur('0.30'));
    const large = eur('999999999999999.99');
    expect(subtractMoney(addMoney(large, eur('0.01')), large)).toEqual(eur('0.01'));
    expect(timesMoney(eur('8.35'), 497)).toEqual(eur('4149.95'));
    // by hand: a nail at 0.0125 EUR, 1000 of them; half a cent goes to the even one
    expect(timesMoney({ amount: '0.0125', currency: 'EUR' }, 1000)).toEqual(eur('12.50'));
    expect(timesMoney({ amount: '0.005', currency: 'EUR' }, 3)).toEqual(eur('0.02'));
    expect(timesMoney({ amount: '0.005', currency: 'EUR' }, 5)).toEqual(eur('0.02'));
    expect(zeroMoney('UGX')).toEqual({ amount: '0', currency: 'UGX' });
  });

  it('does not add or compare two currencies', () => {
    const ugx = money('5', 'UGX');
    for (const act of [
      () => addMoney(eur('1'), ugx),
      () => subtractMoney(eur('1'), ugx),
      () => compareMoney(eur('1'), ugx),
      () => sumMoney([ugx], 'EUR'),
    ]) {
      expect(act).toThrow(/^currency /);
    }
    expect(() => timesMoney(eur('1'), 1.5)).toThrow(/^count /);
  });

  it('compares by value', () => {
    expect(compareMoney(eur('2'), eur('10'))).toBe(-1);
    expect(compareMoney(eur('2'), eur('2.0'))).toBe(0);
    expect(compareMoney(eur('2'), eur('-2'))).toBe(1);
  });
});

describe('lines', () => {
  it.each([
    ['2.5', '0.05', 'EUR', '0.12'],
    ['3.5', '0.05', 'EUR', '0.18'],
    ['1', '0.125', 'EUR', '0.12'],
    ['1', '0.135', 'EUR', '0.14'],
    ['1', '0.125001', 'EUR', '0.13'],
    ['3', '0.5', 'UGX', '2'],
    ['5', '0.5', 'UGX', '2'],
    ['7', '0.5', 'UGX', '4'],
    ['207.009', '0.166667', 'EUR', '34.50'],
  ])('%s × %s %s is %s, half to even', (quantity, rate, currency, amount) => {
    expect(lineAmount(quantity, rate, currency).amount).toBe(amount);
  });

  it('refuses a rate of seven decimals', () => {
    expect(() => lineAmount('1', '0.1234567', 'EUR')).toThrow(/^unitRate /);
  });

  it('finds the price of a unit in a pack to six decimals', () => {
    expect(packUnitRate(eur('8.35'), '50')).toBe('0.167');
    expect(packUnitRate(eur('10'), '3')).toBe('3.333333');
    expect(packUnitRate(eur('20'), '3')).toBe('6.666667');
    expect(packUnitRate(eur('100'), '10')).toBe('10');
    expect(() => packUnitRate(eur('1'), '0')).toThrow(/^packContent /);
  });
});

describe('exchange', () => {
  it.each([
    ['100.00', 'EUR', '4075.25', 'UGX', '407525'],
    ['0.01', 'EUR', '50', 'UGX', '0'],
    ['0.03', 'EUR', '50', 'UGX', '2'],
    ['407525', 'UGX', '0.0002453837', 'EUR', '100.00'],
    ['10.00', 'EUR', '0.3335', 'KWD', '3.335'],
  ])('%s %s at %s is %s %s, half to even', (amount, from, rate, to, expected) => {
    expect(exchangeMoney(money(amount, from), rate, to)).toEqual({
      amount: expected,
      currency: to,
    });
  });

  it('refuses a rate of eleven decimals', () => {
    expect(() => exchangeMoney(eur('1'), '0.12345678901', 'USD')).toThrow(/^rate /);
  });
});

describe('allocation', () => {
  it('gives the odd cents to the largest remainders, then to the first', () => {
    const amounts = (total: string, weights: string[]) =>
      allocateMoney(eur(total), weights).map((part) => part.amount);
    expect(amounts('100', ['1', '1', '1'])).toEqual(['33.34', '33.33', '33.33']);
    expect(amounts('-100', ['1', '1', '1'])).toEqual(['-33.34', '-33.33', '-33.33']);
    expect(amounts('0.05', ['0.5', '0.3', '0.2'])).toEqual(['0.03', '0.01', '0.01']);
    expect(amounts('0', ['2', '1'])).toEqual(['0.00', '0.00']);
  });

  // A textbook apportionment of 10 seats over 21, 26, 53 by Hamilton's method [memory]: 2, 3, 5
  it('apportions seats as the method of Hamilton does', () => {
    const seats = allocateMoney(money('10', 'JPY'), ['21', '26', '53']);
    expect(seats.map((part) => part.amount)).toEqual(['2', '3', '5']);
  });

  it.each([
    ['weights', []],
    ['weights', ['0', '0']],
    ['weights[1]', ['1', '-1']],
    ['weights[0]', ['one']],
  ])('refuses %s', (parameter, weights) => {
    expect(() => allocateMoney(eur('1'), weights)).toThrow(
      new RegExp(`^${parameter.replace('[', '\\[').replace(']', '\\]')} `),
    );
  });
});

describe('grants', () => {
  it('share a cost exactly', () => {
    const split = splitOverGrants(eur('100.01'), [
      { grantId: 'a', shareRatio: '0.5' },
      { grantId: 'b', shareRatio: '0.5' },
    ]);
    expect(split.map((part) => part.amount.amount)).toEqual(['50.01', '50.00']);
  });

  it.each([
    ['shareRatio', [{ grantId: 'a', shareRatio: '0.9' }]],
    ['shareRatio', []],
    [
      'grantId',
      [
        { grantId: 'a', shareRatio: '0.5' },
        { grantId: 'a', shareRatio: '0.5' },
      ],
    ],
    [
      'a.shareRatio',
      [
        { grantId: 'a', shareRatio: '-0.5' },
        { grantId: 'b', shareRatio: '1.5' },
      ],
    ],
  ])('refuse %s', (parameter, shares) => {
    expect(() => splitOverGrants(eur('10'), shares)).toThrow(
      new RegExp(`^${parameter.replace('.', '\\.')} `),
    );
  });

  it('leave what is neither committed, accrued nor paid', () => {
    const line = {
      budget: eur('100'),
      committed: eur('30'),
      accrued: eur('20.5'),
      paid: eur('60'),
    };
    expect(availableBudget(line)).toEqual(eur('-10.50'));
  });

  it('never pay a cost twice', () => {
    expect(() => requireNotDoubleFunded(eur('10'), [eur('6'), eur('4')])).not.toThrow();
    expect(() => requireNotDoubleFunded(eur('10'), [eur('6'), eur('4.01')])).toThrow(/^charges /);
  });
});

describe('offers', () => {
  const offer = (offerId: string, rest: Partial<Offer>): Offer => ({
    offerId,
    supplierId: 'supplier',
    materialCode: 'cement',
    unitCode: 'KGM',
    packContent: '50',
    packPrice: eur('8'),
    validFrom: '2026-01-01',
    ...rest,
  });
  const need = {
    materialCode: 'cement',
    unitCode: 'KGM',
    quantity: '210',
    currency: 'EUR',
    deliveryVillageId: 'north',
  };

  it('win by the money for the whole need, not by the price of a unit', () => {
    // 210 kg: 5 bags of 50 at 8.00 are 40.00; one tonne bag is cheaper by the kilogram only
    const { best } = cheapestValidOffer(
      [
        offer('bags', {}),
        offer('tonne', { packContent: '1000', packPrice: eur('120') }),
        offer('minimum', { packPrice: eur('7'), minimumPacks: 20 }),
      ],
      '2026-02-01',
      need,
    );
    expect(best?.offer.offerId).toBe('bags');
    expect(best).toMatchObject({ packCount: 5, unitRate: '0.16', amount: eur('40') });
  });

  it('say why they do not serve', () => {
    const { best, refused } = cheapestValidOffer(
      [
        offer('early', { validFrom: '2026-02-02' }),
        offer('late', { validUntil: '2026-01-31' }),
        offer('unit', { unitCode: 'TNE' }),
        offer('currency', { packPrice: money('30000', 'UGX') }),
        offer('south', { deliveryVillageIds: ['south'] }),
        offer('few', { maximumPacks: 4 }),
        offer('sand', { materialCode: 'sand' }),
      ],
      '2026-02-01',
      need,
    );
    expect(best).toBeNull();
    expect(refused).toEqual([
      { offerId: 'early', reason: 'not-valid-on-date' },
      { offerId: 'late', reason: 'not-valid-on-date' },
      { offerId: 'unit', reason: 'other-unit' },
      { offerId: 'currency', reason: 'other-currency' },
      { offerId: 'south', reason: 'not-delivered-there' },
      { offerId: 'few', reason: 'above-maximum-packs' },
    ]);
  });

  it('hold on their first and last day', () => {
    const short = offer('short', { validFrom: '2026-02-01', validUntil: '2026-02-01' });
    expect(cheapestValidOffer([short], '2026-02-01', need).best).not.toBeNull();
  });

  it('deliver everywhere unless they name villages, and to a named one', () => {
    const { best } = cheapestValidOffer(
      [offer('named', { deliveryVillageIds: ['south', 'north'] })],
      '2026-02-01',
      need,
    );
    expect(best?.offer.offerId).toBe('named');
    const anywhere = { ...need, deliveryVillageId: null };
    const south = offer('south', { deliveryVillageIds: ['south'] });
    expect(cheapestValidOffer([south], '2026-02-01', anywhere).best).not.toBeNull();
  });

  it('break ties by the price of a unit, the smaller pack and the id, in any order', () => {
    const list = [
      offer('z', {}),
      offer('a', {}),
      offer('small', { packContent: '42', packPrice: eur('8') }),
    ];
    for (const offers of [list, [...list].reverse()]) {
      expect(cheapestValidOffer(offers, '2026-02-01', need).best?.offer.offerId).toBe('a');
    }
    const even = [
      offer('fifty', { packContent: '50', packPrice: eur('10') }),
      offer('hundred', { packContent: '100', packPrice: eur('20') }),
    ];
    const hundred = { ...need, quantity: '100' };
    for (const offers of [even, [...even].reverse()]) {
      expect(cheapestValidOffer(offers, '2026-02-01', hundred).best?.offer.offerId).toBe('fifty');
    }
  });

  it('refuse a date or a limit that cannot be', () => {
    expect(() => cheapestValidOffer([], '2026-02-30', need)).toThrow(/^onDate /);
    expect(() =>
      cheapestValidOffer([offer('x', { minimumPacks: -1 })], '2026-02-01', need),
    ).toThrow(/^x\.minimumPacks /);
    expect(() =>
      cheapestValidOffer([offer('x', { maximumPacks: 0.5 })], '2026-02-01', need),
    ).toThrow(/^x\.maximumPacks /);
  });
});
