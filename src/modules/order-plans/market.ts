import type { UnservedNeed as UnservedWire } from '../../../shared/contract/order-plan.ts';
import type { Offer } from '../../../shared/costing/offer.ts';
import type { UnservedNeed } from '../../../shared/procurement/order-aggregation.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import { quantityText } from '../../db/wire-values.ts';
import type { DatedOffer } from './needs-repository.ts';
import type { StoredUnserved } from './repository.ts';

type Reason = UnservedWire['reason'];

/** Offers named beside a need that none of them serves. */
const MAX_NAMED_OFFERS = 20;

export interface Market {
  /** Offers that deliver in time, as the engine takes them. */
  readonly offers: readonly Offer[];
  /** An unserved need with the offers that would come too late among its reasons. */
  explained(need: UnservedNeed): StoredUnserved;
}

/** What can be bought on a day and be there by another. */
export function marketOn(
  offers: readonly DatedOffer[],
  pricedOn: string,
  needsBy: string | null,
): Market {
  const isLate = ({ lead_days }: DatedOffer) =>
    needsBy !== null && addDays(pricedOn, lead_days) > needsBy;
  const holds = ({ valid_from, valid_until }: DatedOffer) =>
    valid_from <= pricedOn && valid_until >= pricedOn;
  const late = offers.filter((offer) => isLate(offer) && holds(offer));
  return {
    offers: offers.filter((offer) => !late.includes(offer)).map(toEngine),
    explained(need) {
      const tooLate = late
        .filter(({ material_id }) => material_id === need.materialCode)
        .map(({ id }) => ({ offerId: id, reason: 'delivered-too-late' as Reason }));
      return {
        materialId: need.materialCode,
        unitCode: need.unitCode as UnservedWire['unitCode'],
        deliveryVillageId: need.deliveryVillageId,
        needQuantity: need.need,
        reason: tooLate[0]?.reason ?? (need.reason as Reason),
        offers: [...tooLate, ...(need.offers as { offerId: string; reason: Reason }[])].slice(
          0,
          MAX_NAMED_OFFERS,
        ),
      };
    },
  };
}

const toEngine = (offer: DatedOffer): Offer => ({
  offerId: offer.id,
  supplierId: offer.supplier_id,
  materialCode: offer.material_id,
  unitCode: offer.unit_code,
  packContent: quantityText(offer.pack_content),
  packPrice: { amount: quantityText(offer.price_per_pack), currency: offer.currency },
  minimumPacks: offer.minimum_packs,
  maximumPacks: offer.maximum_packs ?? undefined,
  orderCost: quantityText(offer.order_cost),
  priceBreaks: offer.price_breaks,
  breakRule: offer.break_rule,
  validFrom: offer.valid_from,
  validUntil: offer.valid_until,
});
