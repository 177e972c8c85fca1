import Big from 'big.js';
import { EngineError } from '../errors.ts';
import { currencyExponent } from './currency.ts';

/** An amount as decimal text at the exponent of its currency: 1250.00 EUR, 1250 UGX. */
export interface Money {
  readonly amount: string;
  readonly currency: string;
}

const DECIMAL_TEXT = /^-?\d{1,18}(\.\d{1,12})?$/;
const HALF_EVEN = 2;

function decimal(parameter: string, text: string, maxDecimals: number): Big {
  const decimals = text.split('.')[1]?.length ?? 0;
  if (!DECIMAL_TEXT.test(text) || decimals > maxDecimals) {
    throw new EngineError(
      'out-of-range',
      parameter,
      text,
      `must be decimal text with at most ${maxDecimals} decimals`,
    );
  }
  return new Big(text);
}

function moneyOf(value: Big, currency: string): Money {
  const text = value.toFixed(currencyExponent(currency), HALF_EVEN);
  return { amount: /^-0(\.0*)?$/.test(text) ? text.slice(1) : text, currency };
}

function decimalOf(parameter: string, money: Money): Big {
  return decimal(parameter, money.amount, currencyExponent(money.currency));
}

function requireSameCurrency(parameter: string, money: Money, currency: string): void {
  if (money.currency !== currency) {
    throw new EngineError('inconsistent', parameter, money.currency, `must be ${currency}`);
  }
}

/**
 * An amount in its written form: "5" EUR becomes "5.00" EUR.
 *
 * @throws {EngineError} `out-of-range` for an unknown currency, text that is no decimal, or more
 *   decimals than the currency has
 * @source iso-4217
 */
export function money(amount: string, currency: string): Money {
  return moneyOf(decimal('amount', amount, currencyExponent(currency)), currency);
}

/**
 * Nothing, in a currency.
 *
 * @source iso-4217
 */
export function zeroMoney(currency: string): Money {
  return moneyOf(new Big(0), currency);
}

/**
 * The exact sum of amounts in one currency; zero of it when there are none.
 *
 * @throws {EngineError} `inconsistent` when an amount is in another currency
 * @source costing-own
 */
export function sumMoney(amounts: readonly Money[], currency: string): Money {
  let sum = new Big(0);
  for (const amount of amounts) {
    requireSameCurrency('currency', amount, currency);
    sum = sum.plus(decimalOf('amount', amount));
  }
  return moneyOf(sum, currency);
}

/**
 * first + second, exact.
 *
 * @throws {EngineError} `inconsistent` when the currencies differ
 * @source costing-own
 */
export function addMoney(first: Money, second: Money): Money {
  return sumMoney([first, second], first.currency);
}

/**
 * first − second, exact; may be negative.
 *
 * @throws {EngineError} `inconsistent` when the currencies differ
 * @source costing-own
 */
export function subtractMoney(first: Money, second: Money): Money {
  requireSameCurrency('currency', second, first.currency);
  return moneyOf(decimalOf('first', first).minus(decimalOf('second', second)), first.currency);
}

/**
 * −1, 0 or 1 as first is below, equal to or above second.
 *
 * @throws {EngineError} `inconsistent` when the currencies differ
 * @source costing-own
 */
export function compareMoney(first: Money, second: Money): -1 | 0 | 1 {
  requireSameCurrency('currency', second, first.currency);
  return decimalOf('first', first).cmp(decimalOf('second', second));
}

/**
 * A whole number of packs at a price, multiplied exactly and rounded half-even once.
 *
 * @param price a unit rate: at most 6 decimals, however many its currency has
 * @throws {EngineError} `out-of-range` when the count is not a whole number
 * @source half-even
 */
export function timesMoney(price: Money, count: number): Money {
  if (!Number.isSafeInteger(count)) {
    throw new EngineError('out-of-range', 'count', count, 'must be a whole number');
  }
  return moneyOf(decimal('price', price.amount, 6).times(count), price.currency);
}

/**
 * One line of a bill: quantity · unit rate, multiplied exactly and rounded half-even once.
 *
 * @param quantity decimal text, at most 6 decimals
 * @param unitRate decimal text, at most 6 decimals
 * @throws {EngineError} `out-of-range` for other text or an unknown currency
 * @source half-even
 */
export function lineAmount(quantity: string, unitRate: string, currency: string): Money {
  const exact = decimal('quantity', quantity, 6).times(decimal('unitRate', unitRate, 6));
  return moneyOf(exact, currency);
}

/**
 * An amount in another currency: amount · rate, rounded half-even once at the exponent of that
 * currency. The rate is stored beside the result and never computed again.
 *
 * @param rate decimal text, at most 10 decimals: units of the other currency for one of the amount's
 * @throws {EngineError} `out-of-range` for other text or an unknown currency
 * @source half-even
 */
export function exchangeMoney(amount: Money, rate: string, currency: string): Money {
  const exact = decimalOf('amount', amount).times(decimal('rate', rate, 10));
  return moneyOf(exact, currency);
}

/**
 * Price of one unit from a pack: price / content, rounded half-even to 6 decimals. For comparing
 * and showing; orders are priced by the pack.
 *
 * @throws {EngineError} `out-of-range` when the content is not above 0
 * @source half-even
 */
export function packUnitRate(packPrice: Money, packContent: string): string {
  const content = decimal('packContent', packContent, 6);
  if (content.lte(0)) {
    throw new EngineError('out-of-range', 'packContent', packContent, 'must be above 0');
  }
  // big.js divides to a set number of decimals: 20, far below the 6 kept
  const Precise = Big();
  Precise.DP = 20;
  const rate = new Precise(packPrice.amount).div(new Precise(content.toFixed()));
  return trimZeros(rate.toFixed(6, HALF_EVEN));
}

function trimZeros(text: string): string {
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/**
 * A total in whole minor units over weights, by largest remainder: the parts add up to the total
 * exactly, and no part is a minor unit or more away from its exact share.
 *
 * Equal remainders go to the earlier part. A negative total mirrors the positive one.
 *
 * @param weights decimal text, not negative, not all zero
 * @throws {EngineError} `out-of-range` for a negative or empty set of weights
 * @source largest-remainder
 */
export function allocateMoney(total: Money, weights: readonly string[]): Money[] {
  const exponent = currencyExponent(total.currency);
  const parts = allocateDecimal(decimalOf('total', total).toFixed(), weights, exponent);
  return parts.map((part) => moneyOf(new Big(part), total.currency));
}

/**
 * The method of largest remainders on plain decimals: parts with a number of decimals that add up
 * to the total exactly.
 *
 * @throws {EngineError} `out-of-range` for a negative or empty set of weights, or a total with more
 *   decimals than the parts
 * @source largest-remainder
 */
export function allocateDecimal(
  total: string,
  weights: readonly string[],
  decimals: number,
): string[] {
  const weighed = weights.map((weight, index) => {
    const value = decimal(`weights[${index}]`, weight, 12);
    if (value.lt(0)) {
      throw new EngineError('out-of-range', `weights[${index}]`, weight, 'must not be negative');
    }
    return value;
  });
  const sum = weighed.reduce((running, weight) => running.plus(weight), new Big(0));
  if (sum.eq(0)) {
    throw new EngineError('out-of-range', 'weights', weights.length, 'must add up to more than 0');
  }
  const signed = decimal('total', total, decimals);
  const unit = new Big(10).pow(decimals);
  const units = BigInt(signed.abs().times(unit).toFixed(0));
  const scale = new Big(10).pow(12);
  const sumScaled = BigInt(sum.times(scale).toFixed(0));
  const shares = weighed.map((weight, index) => {
    const numerator = units * BigInt(weight.times(scale).toFixed(0));
    return { index, whole: numerator / sumScaled, remainder: numerator % sumScaled };
  });
  let left = units - shares.reduce((running, share) => running + share.whole, 0n);
  const parts = shares.map((share) => share.whole);
  const byRemainder = [...shares].sort((a, b) =>
    a.remainder === b.remainder ? a.index - b.index : a.remainder > b.remainder ? -1 : 1,
  );
  for (const { index, whole } of byRemainder) {
    if (left === 0n) break;
    parts[index] = whole + 1n;
    left -= 1n;
  }
  return parts.map((part) => {
    const size = new Big(part.toString()).div(unit);
    return (signed.lt(0) && part !== 0n ? size.times(-1) : size).toFixed(decimals);
  });
}
