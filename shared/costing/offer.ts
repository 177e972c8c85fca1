import Big from 'big.js';
import { EngineError } from '../errors.ts';
import { compareQuantities, packRounded, type Quantity } from '../takeoff/quantity.ts';
import { calendarDay } from '../units/calendar.ts';
import { compareMoney, type Money, packUnitRate } from './money.ts';
import { offerAmount, orderAmount, orderCostOf, type PackPricing } from './offer-amount.ts';

/** A supplier's price for one material in packs, between two dates. */
export interface Offer extends PackPricing {
  readonly offerId: string;
  readonly supplierId: string;
  readonly materialCode: string;
  /** Unit of the pack's content, UNECE Rec 20. */
  readonly unitCode: string;
  readonly packContent: Quantity;
  readonly validFrom: string;
  /** Last day on which it holds; open when left out. */
  readonly validUntil?: string | null | undefined;
  /** Villages the supplier delivers to; everywhere when left out. */
  readonly deliveryVillageIds?: readonly string[] | null | undefined;
}

export interface OfferNeed {
  readonly materialCode: string;
  readonly unitCode: string;
  readonly quantity: Quantity;
  readonly currency: string;
  readonly deliveryVillageId?: string | null | undefined;
}

export type OfferRefusal =
  | 'other-material'
  | 'other-unit'
  | 'other-currency'
  | 'not-valid-on-date'
  | 'not-delivered-there'
  | 'above-maximum-packs';

export interface OfferPrice {
  readonly offer: Offer;
  /** Price per unit by the pack, at most 6 decimals. */
  readonly unitRate: string;
  readonly packCount: number;
  /** What one of these packs costs with the breaks; a mean where they have several prices. */
  readonly packPrice: Money;
  /** What the packs cost, without the cost of ordering. */
  readonly amount: Money;
  readonly orderCost: Money;
}

export interface OfferChoice {
  readonly best: OfferPrice | null;
  /** Why each offer for this material did not serve. */
  readonly refused: readonly { readonly offerId: string; readonly reason: OfferRefusal }[];
}

function requirePackLimits(offer: Offer): void {
  for (const field of ['minimumPacks', 'maximumPacks'] as const) {
    const value = offer[field];
    if (value !== undefined && (!Number.isSafeInteger(value) || value < 0)) {
      throw new EngineError(
        'out-of-range',
        `${offer.offerId}.${field}`,
        value,
        'must be a whole number from 0',
      );
    }
  }
}

/**
 * Packs of an offer that cover a quantity: rounded up, and at least the offer's minimum when
 * anything is needed.
 *
 * @throws {EngineError} `out-of-range` for a pack content or limit that cannot be
 * @source costing-own
 */
export function packsNeeded(offer: Offer, quantity: Quantity): number {
  requirePackLimits(offer);
  const { packCount } = packRounded(quantity, offer.packContent);
  return packCount === 0 ? 0 : Math.max(packCount, offer.minimumPacks ?? 0);
}

/**
 * Packs of an offer that cover a quantity for the least money: those needed, or as many as a price
 * break asks for where that larger buy is cheaper. Equal money goes to the fewer packs.
 *
 * @throws {EngineError} as {@link packsNeeded}; `inconsistent` for breaks that do not hold together
 * @source quantity-discounts
 */
export function cheapestPacks(offer: Offer, quantity: Quantity): number {
  const needed = packsNeeded(offer, quantity);
  if (needed === 0) return 0;
  const most = offer.maximumPacks ?? Number.MAX_SAFE_INTEGER;
  return (offer.priceBreaks ?? [])
    .map(({ fromPacks }) => fromPacks)
    .filter((packs) => packs > needed && packs <= most)
    .reduce(
      (best, packs) =>
        compareMoney(offerAmount(offer, packs), offerAmount(offer, best)) < 0 ? packs : best,
      needed,
    );
}

function refusal(offer: Offer, need: OfferNeed, onDate: string): OfferRefusal | null {
  if (offer.materialCode !== need.materialCode) return 'other-material';
  if (offer.unitCode !== need.unitCode) return 'other-unit';
  if (offer.packPrice.currency !== need.currency) return 'other-currency';
  if (onDate < offer.validFrom) return 'not-valid-on-date';
  if (offer.validUntil != null && onDate > offer.validUntil) return 'not-valid-on-date';
  const villages = offer.deliveryVillageIds;
  if (villages != null && need.deliveryVillageId != null) {
    if (!villages.includes(need.deliveryVillageId)) return 'not-delivered-there';
  }
  const packs = packsNeeded(offer, need.quantity);
  return offer.maximumPacks !== undefined && packs > offer.maximumPacks
    ? 'above-maximum-packs'
    : null;
}

/**
 * The offer that covers a need on a date for the least money: whole packs, minimum and maximum
 * packs, price breaks and the cost of ordering counted. Equal money goes to the lower price per unit, then the smaller pack, then the first id.
 *
 * @param onDate the date of the order, YYYY-MM-DD
 * @returns the best offer with its packs and amount, or null, and why the others did not serve
 * @throws {EngineError} `out-of-range` for a bad date, pack or quantity
 * @source costing-own
 */
export function cheapestValidOffer(
  offers: readonly Offer[],
  onDate: string,
  need: OfferNeed,
): OfferChoice {
  calendarDay(onDate, 'onDate');
  const refused: { offerId: string; reason: OfferRefusal }[] = [];
  let best: OfferPrice | null = null;
  for (const offer of offers) {
    const reason = refusal(offer, need, onDate);
    if (reason !== null) {
      if (reason !== 'other-material') refused.push({ offerId: offer.offerId, reason });
      continue;
    }
    const price = priceOf(offer, cheapestPacks(offer, need.quantity));
    if (best === null || isBetter(price, best)) best = price;
  }
  return { best, refused };
}

function priceOf(offer: Offer, packCount: number): OfferPrice {
  const amount = offerAmount(offer, packCount);
  const packPrice = pricePaid(offer, packCount, amount);
  return {
    offer,
    unitRate: packUnitRate(packPrice, offer.packContent),
    packCount,
    packPrice,
    amount,
    orderCost: orderCostOf(offer),
  };
}

/** The price of the break reached; with incremental breaks the mean, at most 6 decimals. */
function pricePaid(offer: Offer, packCount: number, amount: Money): Money {
  const { packPrice, priceBreaks = [], breakRule } = offer;
  const reached = priceBreaks.filter(({ fromPacks }) => fromPacks <= packCount).at(-1);
  if (!reached) return packPrice;
  const { currency } = packPrice;
  return breakRule === 'incremental'
    ? { amount: packUnitRate(amount, String(packCount)), currency }
    : { amount: reached.pricePerPack, currency };
}

function isBetter(a: OfferPrice, b: OfferPrice): boolean {
  const money = compareMoney(orderAmount(a.offer, a.packCount), orderAmount(b.offer, b.packCount));
  if (money !== 0) return money < 0;
  const unit = new Big(a.unitRate).cmp(b.unitRate);
  if (unit !== 0) return unit < 0;
  const pack = compareQuantities(a.offer.packContent, b.offer.packContent);
  return pack !== 0 ? pack < 0 : a.offer.offerId < b.offer.offerId;
}
