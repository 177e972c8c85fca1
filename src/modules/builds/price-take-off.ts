import type { TakeOffLine } from '../../../shared/contract/design-revision.ts';
import { currencyExponent } from '../../../shared/costing/currency.ts';
import { lineAmount, type Money, sumMoney } from '../../../shared/costing/money.ts';
import { cheapestValidOffer, type Offer } from '../../../shared/costing/offer.ts';
import { sumQuantities } from '../../../shared/takeoff/quantity.ts';

export interface PricedMaterial {
  readonly id: string;
  readonly code: string;
  readonly unitCode: string;
}

export interface PriceList {
  readonly pricedOn: string;
  readonly currency: string;
  readonly materialByCode: ReadonlyMap<string, PricedMaterial>;
  /** Offers that are not withdrawn on the day, in any currency. */
  readonly offersByCode: ReadonlyMap<string, readonly Offer[]>;
}

/** A line of a bill before it belongs to a build. */
export interface PricedLine extends TakeOffLine {
  readonly position: number;
  readonly materialId: string;
  readonly offerId: string;
  readonly unitRate: string;
  readonly amount: string;
}

export interface PricingFault {
  readonly rule: 'material-not-in-catalogue' | 'material-unit-differs' | 'no-valid-offer';
  readonly materialCode: string;
  readonly message: string;
}

export interface PricedTakeOff {
  readonly lines: readonly PricedLine[];
  readonly amount: Money;
  readonly inKindAmount: Money;
  /** One for each material that could not be priced; without any, the lines are complete. */
  readonly faults: readonly PricingFault[];
}

/**
 * Prices a take-off: each material by the offer that covers one tank's need of it for the least money
 * on the day, each line by quantity with waste times the price per unit, rounded once.
 */
export function priceTakeOff(takeOff: readonly TakeOffLine[], prices: PriceList): PricedTakeOff {
  const linesByCode = new Map<string, TakeOffLine[]>();
  for (const line of takeOff) {
    linesByCode.set(line.materialCode, [...(linesByCode.get(line.materialCode) ?? []), line]);
  }
  const rates = new Map<string, { materialId: string; offerId: string; unitRate: string }>();
  const faults: PricingFault[] = [];
  for (const [materialCode, lines] of linesByCode) {
    const found = rateOf(materialCode, lines, prices);
    if ('rule' in found) faults.push(found);
    else rates.set(materialCode, found);
  }
  const priced = takeOff.flatMap((line, position): PricedLine[] => {
    const rate = rates.get(line.materialCode);
    if (!rate) return [];
    const { amount } = lineAmount(line.withWasteQuantity, rate.unitRate, prices.currency);
    return [{ ...line, position, ...rate, amount }];
  });
  const sumOf = (isInKind: boolean) =>
    sumMoney(
      priced
        .filter((line) => line.isInKind === isInKind)
        .map(({ amount }) => ({ amount, currency: prices.currency })),
      prices.currency,
    );
  return { lines: priced, amount: sumOf(false), inKindAmount: sumOf(true), faults };
}

function rateOf(
  materialCode: string,
  lines: readonly TakeOffLine[],
  { pricedOn, currency, materialByCode, offersByCode }: PriceList,
) {
  const fault = (rule: PricingFault['rule'], message: string): PricingFault => ({
    rule,
    materialCode,
    message,
  });
  const material = materialByCode.get(materialCode);
  if (!material) return fault('material-not-in-catalogue', `${materialCode} is not a material yet`);
  const odd = lines.find((line) => line.unitCode !== material.unitCode);
  if (odd) {
    return fault(
      'material-unit-differs',
      `${materialCode} is counted in ${material.unitCode}, but the take-off needs it in ${odd.unitCode}`,
    );
  }
  const offers = offersByCode.get(materialCode) ?? [];
  const exact = offers.filter(
    ({ packPrice }) => packPrice.currency !== currency || isExact(packPrice),
  );
  const { best, refused } = cheapestValidOffer(exact, pricedOn, {
    materialCode,
    unitCode: material.unitCode,
    quantity: sumQuantities(lines.map((line) => line.withWasteQuantity)),
    currency,
  });
  if (best) {
    return { materialId: material.id, offerId: best.offer.offerId, unitRate: best.unitRate };
  }
  const reasons = new Set<string>(refused.map(({ reason }) => reason));
  if (exact.length < offers.length) reasons.add('price-finer-than-currency');
  const because = reasons.size > 0 ? ` (${[...reasons].join(', ')})` : '';
  return fault(
    'no-valid-offer',
    `no offer for ${materialCode} holds on ${pricedOn} in ${currency}${because}`,
  );
}

/** Whether a price can be paid: no finer than the smallest unit of its currency. */
const isExact = ({ amount, currency }: Money) =>
  (amount.split('.')[1]?.length ?? 0) <= currencyExponent(currency);
