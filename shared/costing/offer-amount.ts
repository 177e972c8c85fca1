import Big from 'big.js';
import { EngineError } from '../errors.ts';
import { addMoney, lineAmount, type Money, money, zeroMoney } from './money.ts';

export const BREAK_RULES = ['all-units', 'incremental'] as const;
export type BreakRule = (typeof BREAK_RULES)[number];

/** A lower price from a number of packs on. */
export interface PriceBreak {
  readonly fromPacks: number;
  /** Decimal text in the currency of the offer, at most 6 decimals. */
  readonly pricePerPack: string;
}

/** What the packs of one order cost. */
export interface PackPricing {
  /** A unit rate: at most 6 decimals, however many its currency has. */
  readonly packPrice: Money;
  readonly minimumPacks?: number | undefined;
  readonly maximumPacks?: number | undefined;
  /** Paid once an order, in the currency of the price; nothing when left out. */
  readonly orderCost?: string | undefined;
  /** In rising order of `fromPacks`, with falling prices. */
  readonly priceBreaks?: readonly PriceBreak[] | undefined;
  readonly breakRule?: BreakRule | null | undefined;
}

interface BreakTerms {
  readonly pricePerPack: string;
  readonly minimumPacks?: number | undefined;
  readonly maximumPacks?: number | null | undefined;
  readonly priceBreaks: readonly PriceBreak[];
  readonly breakRule?: BreakRule | null | undefined;
}

export interface BreakFault {
  readonly path: readonly (string | number)[];
  readonly message: string;
}

/**
 * What is wrong with the price breaks of an offer: each must begin above the minimum and above the
 * one before, within the maximum, at a lower price, and a rule must say which packs it prices.
 *
 * @returns path and message of each fault; empty when the breaks hold together
 * @source quantity-discounts
 */
export function breakFaults(terms: BreakTerms): BreakFault[] {
  const { priceBreaks, breakRule = null, minimumPacks = 0, maximumPacks } = terms;
  const faults: BreakFault[] = [];
  if (priceBreaks.length > 0 && breakRule === null) {
    faults.push({ path: ['breakRule'], message: 'is needed with priceBreaks' });
  }
  if (priceBreaks.length === 0 && breakRule !== null) {
    faults.push({ path: ['breakRule'], message: 'must be null without priceBreaks' });
  }
  let [packs, price] = [minimumPacks, terms.pricePerPack];
  for (const [index, { fromPacks, pricePerPack }] of priceBreaks.entries()) {
    const at = (field: string, message: string) =>
      faults.push({ path: ['priceBreaks', index, field], message });
    if (fromPacks <= packs) at('fromPacks', `must be above ${packs}`);
    if (maximumPacks != null && fromPacks > maximumPacks) {
      at('fromPacks', `must not be above maximumPacks ${maximumPacks}`);
    }
    if (new Big(pricePerPack).gte(price)) at('pricePerPack', `must be below ${price}`);
    [packs, price] = [fromPacks, pricePerPack];
  }
  return faults;
}

function requirePackCount(packCount: number): void {
  if (Number.isSafeInteger(packCount) && packCount >= 0) return;
  throw new EngineError('out-of-range', 'packCount', packCount, 'must be a whole number from 0');
}

function requireBreaks(pricing: PackPricing): void {
  const { packPrice, priceBreaks = [], breakRule, minimumPacks } = pricing;
  if (priceBreaks.length === 0) return;
  const [fault] = breakFaults({
    pricePerPack: packPrice.amount,
    minimumPacks,
    priceBreaks,
    breakRule,
  });
  if (fault) throw new EngineError('inconsistent', fault.path.join('.'), null, fault.message);
}

/**
 * What packs of an offer cost, without the cost of ordering: exact, rounded half-even once.
 *
 * Below the first break, and without breaks, packs · price. With the rule `all-units` the price
 * c_j of the break b_j reached holds for every pack: c_j · Q. With `incremental` it holds for the
 * packs above the break only: R_j + c_j · (Q − b_j), where R_j is what b_j packs cost.
 *
 * @param packCount whole packs; 0 costs nothing
 * @throws {EngineError} `out-of-range` for a count that is no whole number; `inconsistent` for
 *   breaks that do not rise, prices that do not fall, or breaks without a rule
 * @source quantity-discounts; half-even
 */
export function offerAmount(pricing: PackPricing, packCount: number): Money {
  requirePackCount(packCount);
  requireBreaks(pricing);
  const { amount, currency } = pricing.packPrice;
  const reached = (pricing.priceBreaks ?? []).filter(({ fromPacks }) => fromPacks <= packCount);
  let exact = new Big(0);
  if (pricing.breakRule === 'incremental') {
    const steps = [{ fromPacks: 0, pricePerPack: amount }, ...reached];
    for (const [index, { fromPacks, pricePerPack }] of steps.entries()) {
      const until = steps[index + 1]?.fromPacks ?? packCount;
      exact = exact.plus(new Big(pricePerPack).times(until - fromPacks));
    }
  } else {
    exact = new Big(reached.at(-1)?.pricePerPack ?? amount).times(packCount);
  }
  return lineAmount('1', exact.toFixed(), currency);
}

/**
 * What one order of packs costs: the packs and, once, the cost of ordering; nothing for no packs.
 *
 * @throws {EngineError} as {@link offerAmount}
 * @source quantity-discounts
 */
export function orderAmount(pricing: PackPricing, packCount: number): Money {
  const packs = offerAmount(pricing, packCount);
  if (packCount === 0) return zeroMoney(packs.currency);
  return addMoney(packs, orderCostOf(pricing));
}

/**
 * The cost of ordering of an offer as money.
 *
 * @throws {EngineError} `out-of-range` for text that is no decimal of the currency
 * @source quantity-discounts
 */
export function orderCostOf({ packPrice, orderCost = '0' }: PackPricing): Money {
  return money(orderCost, packPrice.currency);
}
