import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import { breaksText } from '../../../shared/costing/price-breaks-text.ts';
import { addDays } from '../../../shared/units/calendar.ts';

/** The terms of an offer that a price list can set, decimals without trailing zeros. */
export interface OfferTerms {
  readonly packCode: string;
  readonly packContent: string;
  readonly pricePerPack: string;
  readonly currency: string;
  readonly minimumPacks: number;
  readonly maximumPacks: number | null;
  readonly orderCost: string;
  readonly leadDays: number;
  readonly validFrom: string;
  /** Last day on which it holds, an earlier withdrawal counted. */
  readonly validUntil: string;
  readonly priceBreaks: readonly PriceBreak[];
  readonly breakRule: BreakRule | null;
}

/** The last day on which an offer holds. */
export function lastDayOf(validUntil: string, withdrawnOn: string | null): string {
  if (withdrawnOn === null) return validUntil;
  const dayBefore = addDays(withdrawnOn, -1);
  return dayBefore < validUntil ? dayBefore : validUntil;
}

type Value = string | number | null;

/** The terms as single values, to compare and to show; breaks as a price list writes them. */
export function valuesOf(terms: OfferTerms): Readonly<Record<string, Value>> {
  const { priceBreaks, ...single } = terms;
  return { ...single, breaks: breaksText(priceBreaks) || null };
}

/** What differs between two offers, field by field. */
export function changesBetween(before: OfferTerms | null, after: OfferTerms) {
  const from = before ? valuesOf(before) : {};
  return Object.entries(valuesOf(after)).flatMap(([field, to]) =>
    (from[field] ?? null) === to ? [] : [{ field, from: from[field] ?? null, to }],
  );
}

/** Whether two offers hold on some day together. */
export const overlap = (
  a: Pick<OfferTerms, 'validFrom' | 'validUntil'>,
  b: Pick<OfferTerms, 'validFrom' | 'validUntil'>,
) => a.validFrom <= b.validUntil && b.validFrom <= a.validUntil;
