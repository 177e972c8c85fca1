import { currencyExponent } from '../../../shared/costing/currency.ts';
import { type Money, money } from '../../../shared/costing/money.ts';

/** An amount in whole minor units of its currency: 12.50 EUR is 1250. */
export function minorUnits({ amount, currency }: Money): bigint {
  return BigInt(money(amount, currency).amount.replace('.', ''));
}

/** The amount of so many minor units. */
export function fromMinorUnits(units: bigint, currency: string): Money {
  const exponent = currencyExponent(currency);
  const digits = (units < 0n ? -units : units).toString().padStart(exponent + 1, '0');
  const at = digits.length - exponent;
  const text = exponent === 0 ? digits : `${digits.slice(0, at)}.${digits.slice(at)}`;
  return { amount: units < 0n ? `-${text}` : text, currency };
}
