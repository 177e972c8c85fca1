import Big from 'big.js';
import { currencyExponent } from '../costing/currency.ts';
import { type Money, money } from '../costing/money.ts';
import { EngineError } from '../errors.ts';
import type { Quantity } from '../takeoff/quantity.ts';

const HALF_EVEN = 2;

/**
 * What a quantity costs that is sold in packs: quantity / content · price, rounded half-even once.
 * Parts of packs count, as goods that came damaged or short do.
 *
 * @param quantity in the unit of the pack's content
 * @param pricePerPack decimal text, at most 6 decimals
 * @throws {EngineError} `out-of-range` when the content is not above 0
 * @source half-even
 */
export function packWorth(
  quantity: Quantity,
  packContent: Quantity,
  pricePerPack: string,
  currency: string,
): Money {
  // big.js divides to a set number of decimals: 20, far below the minor unit
  const Precise = Big();
  Precise.DP = 20;
  const content = new Precise(packContent);
  if (content.lte(0)) {
    throw new EngineError('out-of-range', 'packContent', packContent, 'must be above 0');
  }
  const exact = new Precise(quantity).times(pricePerPack).div(content);
  return money(exact.toFixed(currencyExponent(currency), HALF_EVEN), currency);
}
