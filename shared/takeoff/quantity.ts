import { EngineError, requireFinite } from '../errors.ts';

/** A quantity on the wire: decimal text with at most six decimals, such as "12.5". */
export type Quantity = string;

const MICRO = 1_000_000n;
const MISSING_ZEROS = '000000';
const ZERO = '0'.charCodeAt(0);
const POINT = '.'.charCodeAt(0);
const QUANTITY_TEXT = /^-?\d{1,15}(\.\d{1,6})?$/;

function microOf(parameter: string, quantity: Quantity): bigint {
  if (!QUANTITY_TEXT.test(quantity)) {
    throw new EngineError(
      'out-of-range',
      parameter,
      quantity,
      'must be decimal text with at most 15 digits before and 6 after the point',
    );
  }
  const point = quantity.indexOf('.');
  if (point < 0) return BigInt(quantity) * MICRO;
  const fraction = quantity.slice(point + 1);
  return BigInt(quantity.slice(0, point) + fraction + MISSING_ZEROS.slice(fraction.length));
}

/** Decimal text without zeros at its end, nor a minus before nothing. */
function trimmed(text: string): Quantity {
  let end = text.length;
  while (text.charCodeAt(end - 1) === ZERO) end -= 1;
  if (text.charCodeAt(end - 1) === POINT) end -= 1;
  const kept = text.slice(0, end);
  return kept === '-0' ? '0' : kept;
}

function textOf(micro: bigint): Quantity {
  const size = micro < 0n ? -micro : micro;
  const digits = size.toString().padStart(7, '0');
  const text = trimmed(`${digits.slice(0, -6)}.${digits.slice(-6)}`);
  return micro < 0n ? `-${text}` : text;
}

function divideHalfEven(numerator: bigint, divisor: bigint): bigint {
  const negative = numerator < 0n;
  const size = negative ? -numerator : numerator;
  const quotient = size / divisor;
  const twice = (size % divisor) * 2n;
  const up = twice > divisor || (twice === divisor && quotient % 2n === 1n);
  const rounded = up ? quotient + 1n : quotient;
  return negative ? -rounded : rounded;
}

/**
 * A computed measure as exact decimal text, rounded once to six decimals.
 *
 * @returns text without trailing zeros, such as "0.2413"
 * @throws {EngineError} `not-finite`, or `out-of-range` from 1e15
 * @source takeoff-own
 */
export function toQuantity(value: number): Quantity {
  requireFinite({ quantity: value });
  if (Math.abs(value) >= 1e15) {
    throw new EngineError('out-of-range', 'quantity', value, 'must be below 1e15');
  }
  return trimmed(value.toFixed(6));
}

/**
 * The sum of quantities in one unit, exact.
 *
 * @source takeoff-own
 */
export function sumQuantities(quantities: readonly Quantity[]): Quantity {
  let micro = 0n;
  for (const quantity of quantities) micro += microOf('quantity', quantity);
  return textOf(micro);
}

/**
 * first − second, exact; may be negative.
 *
 * @source takeoff-own
 */
export function subtractQuantities(first: Quantity, second: Quantity): Quantity {
  return textOf(microOf('first', first) - microOf('second', second));
}

/**
 * −1, 0 or 1 as first is below, equal to or above second.
 *
 * @source takeoff-own
 */
export function compareQuantities(first: Quantity, second: Quantity): -1 | 0 | 1 {
  const difference = microOf('first', first) - microOf('second', second);
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/**
 * A quantity for `count` equal builds, exact.
 *
 * @throws {EngineError} `out-of-range` when the count is not a whole number from 0
 * @source takeoff-own
 */
export function scaleQuantity(quantity: Quantity, count: number): Quantity {
  if (!Number.isSafeInteger(count) || count < 0) {
    throw new EngineError('out-of-range', 'count', count, 'must be a whole number from 0');
  }
  return textOf(microOf('quantity', quantity) * BigInt(count));
}

/**
 * Net quantity with its waste allowance: net · (1 + waste), rounded half-even to six decimals.
 *
 * @throws {EngineError} `out-of-range` when either is negative
 * @source takeoff-own
 */
export function withWasteQuantity(netQuantity: Quantity, wasteRatio: Quantity): Quantity {
  const net = microOf('netQuantity', netQuantity);
  const waste = microOf('wasteRatio', wasteRatio);
  if (net < 0n) {
    throw new EngineError('out-of-range', 'netQuantity', netQuantity, 'must not be negative');
  }
  if (waste < 0n) {
    throw new EngineError('out-of-range', 'wasteRatio', wasteRatio, 'must not be negative');
  }
  return textOf(divideHalfEven(net * (MICRO + waste), MICRO));
}

export interface PackRounded {
  readonly packCount: number;
  readonly orderedQuantity: Quantity;
  /** Ordered − needed, never negative. */
  readonly roundingQuantity: Quantity;
}

/**
 * Whole packs that cover a quantity: packs = ⌈quantity / content⌉. Round once, at the level at
 * which packs are bought; rounding per tank and adding up buys far more.
 *
 * @throws {EngineError} `out-of-range` when the quantity is negative or the content is not above 0
 * @source worked-tank
 */
export function packRounded(quantity: Quantity, packContent: Quantity): PackRounded {
  const need = microOf('quantity', quantity);
  const content = microOf('packContent', packContent);
  if (need < 0n) {
    throw new EngineError('out-of-range', 'quantity', quantity, 'must not be negative');
  }
  if (content <= 0n) {
    throw new EngineError('out-of-range', 'packContent', packContent, 'must be above 0');
  }
  const packs = (need + content - 1n) / content;
  if (packs > BigInt(Number.MAX_SAFE_INTEGER)) {
    throw new EngineError('out-of-range', 'quantity', quantity, 'needs too many packs to count');
  }
  return {
    packCount: Number(packs),
    orderedQuantity: textOf(packs * content),
    roundingQuantity: textOf(packs * content - need),
  };
}
