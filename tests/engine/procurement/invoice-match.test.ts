import { describe, expect, it } from 'vitest';
import { matchInvoice } from '../../../shared/procurement/invoice-match.ts';
import { packWorth } from '../../../shared/procurement/pack-worth.ts';

const euros = (amount: string) => ({ amount, currency: 'EUR' });

/** The first waybill of the CARE food manual, quoted: 1,000 bags ordered, 968 good, 25 missing. */
const ORDERED = {
  orderLineId: 'bags',
  packContent: '50',
  pricePerPack: '7.45',
  receivedQuantity: '48400',
  invoicedBefore: '0',
};
const AGAINST = { currency: 'EUR', lines: [ORDERED], earlierNumbers: [] as string[] };

const invoiceOf = (quantity: string, price: string, amount: string, more: object = {}) => ({
  invoiceNumber: 'A 17',
  amount: euros(amount),
  otherCharges: euros('0.00'),
  lines: [
    {
      orderLineId: 'bags',
      invoicedQuantity: quantity,
      pricePerPack: price,
      amount: euros(amount),
    },
  ],
  ...more,
});

describe('packWorth', () => {
  // by hand: 968 bags at 7.45 are 7,211.60; a fifth of a bag is 1.49
  it.each([
    ['48400', '50', '7.45', '7211.60'],
    ['10', '50', '7.45', '1.49'],
    ['1', '3', '1', '0.33'],
    ['1', '8', '0.1', '0.01'],
    ['1', '20', '0.1', '0.00'],
    ['3', '20', '0.1', '0.02'],
  ])('%s in packs of %s at %s are %s', (quantity, content, price, worth) => {
    expect(packWorth(quantity, content, price, 'EUR')).toEqual(euros(worth));
  });

  it('refuses packs of nothing', () => {
    expect(() => packWorth('1', '0', '1', 'EUR')).toThrow(/packContent/);
  });
});

describe('matchInvoice', () => {
  it('finds nothing where the invoice asks for what came at the price that was ordered', () => {
    expect(matchInvoice(invoiceOf('48400', '7.45', '7211.60'), AGAINST)).toEqual([]);
    expect(matchInvoice(invoiceOf('40000', '7.40', '5920.00'), AGAINST)).toEqual([]);
  });

  it('finds the damaged and missing bags of an invoice for all that was sent', () => {
    expect(matchInvoice(invoiceOf('50000', '7.45', '7450.00'), AGAINST)).toEqual([
      { kind: 'quantity-above-received', orderLineId: 'bags', expected: '48400', found: '50000' },
    ]);
  });

  it('lets price and quantity be above by a tolerance, to its edge', () => {
    const invoice = invoiceOf('48884', '7.5245', '7356.55');
    const tolerance = { priceRatio: '0.01', quantityRatio: '0.01' };
    expect(matchInvoice(invoice, AGAINST, tolerance)).toEqual([]);
    const kinds = (priceRatio: string, quantityRatio: string) =>
      matchInvoice(invoice, AGAINST, { priceRatio, quantityRatio }).map(({ kind }) => kind);
    expect(kinds('0.0099', '0.01')).toEqual(['price-above-order']);
    expect(kinds('0.01', '0.0099')).toEqual(['quantity-above-received']);
  });

  it('counts what earlier invoices asked for', () => {
    const lines = [{ ...ORDERED, invoicedBefore: '48350' }];
    const again = matchInvoice(invoiceOf('100', '7.45', '14.90'), { ...AGAINST, lines });
    expect(again).toMatchObject([{ kind: 'quantity-above-received', found: '48450' }]);
    expect(matchInvoice(invoiceOf('50', '7.45', '7.45'), { ...AGAINST, lines })).toEqual([]);
  });

  it('says that nothing came rather than that it is too much', () => {
    const lines = [{ ...ORDERED, receivedQuantity: '0' }];
    expect(matchInvoice(invoiceOf('50', '7.45', '7.45'), { ...AGAINST, lines })).toEqual([
      { kind: 'not-received', orderLineId: 'bags', expected: '0', found: '50' },
    ]);
  });

  it('finds another currency, a used number, charges, foreign lines and wrong sums together', () => {
    const invoice = invoiceOf('50', '7.45', '7.45', {
      amount: euros('9.00'),
      otherCharges: euros('1.50'),
    });
    const findings = matchInvoice(
      { ...invoice, lines: invoice.lines.map((line) => ({ ...line, orderLineId: 'sand' })) },
      { ...AGAINST, currency: 'USD', earlierNumbers: ['a17'] },
    );
    expect(findings.map(({ kind, expected, found }) => [kind, expected, found])).toEqual([
      ['currency-differs', 'USD', 'EUR'],
      ['duplicate-number', 'a new number', 'a17'],
      ['not-ordered', 'a line of the order', 'sand'],
      ['arithmetic', '8.95', '9.00'],
      ['charges-not-ordered', '0', '1.50'],
    ]);
  });
});
