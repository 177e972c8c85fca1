import { type Money, sumMoney, timesMoney } from '../costing/money.ts';
import { cheapestValidOffer, type Offer, type OfferRefusal } from '../costing/offer.ts';
import { offerAmount } from '../costing/offer-amount.ts';
import { EngineError } from '../errors.ts';
import {
  compareQuantities,
  packRounded,
  type Quantity,
  scaleQuantity,
  subtractQuantities,
  sumQuantities,
} from '../takeoff/quantity.ts';

/** What one build needs of one material, with waste. */
export interface MaterialNeed {
  /** The build, or whatever the need is rounded by when it is bought alone. */
  readonly buildId: string;
  readonly materialCode: string;
  readonly unitCode: string;
  readonly quantity: Quantity;
  readonly deliveryVillageId: string;
  /** Only offers of this supplier serve, when given. */
  readonly supplierId?: string | null | undefined;
}

export interface OrderLine {
  readonly materialCode: string;
  readonly unitCode: string;
  readonly supplierId: string;
  readonly offerId: string;
  readonly deliveryVillageId: string;
  readonly need: Quantity;
  readonly packContent: Quantity;
  readonly packCount: number;
  /** What one pack costs with the breaks of the offer; a mean where they have several prices. */
  readonly packPrice: Money;
  readonly ordered: Quantity;
  /** Ordered − need, never negative. */
  readonly rounding: Quantity;
  /** What the packs cost, without the cost of ordering. */
  readonly amount: Money;
  readonly buildCount: number;
  /** Packs and money if every build rounded up its own need at the same offer. */
  readonly perBuildPackCount: number;
  readonly perBuildAmount: Money;
}

export interface UnservedNeed {
  readonly materialCode: string;
  readonly unitCode: string;
  readonly deliveryVillageId: string;
  readonly need: Quantity;
  readonly reason: 'no-offer' | OfferRefusal | 'other-supplier';
  readonly offers: readonly { readonly offerId: string; readonly reason: string }[];
}

export interface OrderProposal {
  readonly currency: string;
  readonly onDate: string;
  readonly lines: readonly OrderLine[];
  readonly unserved: readonly UnservedNeed[];
  readonly totalAmount: Money;
  readonly totalPackCount: number;
  readonly perBuildTotalAmount: Money;
  readonly perBuildTotalPackCount: number;
}

interface NeedGroup {
  readonly materialCode: string;
  readonly unitCode: string;
  readonly deliveryVillageId: string;
  readonly supplierId: string | null;
  readonly quantityByBuild: Map<string, Quantity>;
}

function grouped(needs: readonly MaterialNeed[]): NeedGroup[] {
  const groups = new Map<string, NeedGroup>();
  for (const need of needs) {
    const { materialCode, unitCode, deliveryVillageId, supplierId = null } = need;
    if (compareQuantities(need.quantity, '0') < 0) {
      throw new EngineError(
        'out-of-range',
        `${need.buildId}.${materialCode}.quantity`,
        need.quantity,
        'must not be negative',
      );
    }
    const key = JSON.stringify([materialCode, unitCode, deliveryVillageId, supplierId]);
    const group = groups.get(key) ?? {
      materialCode,
      unitCode,
      deliveryVillageId,
      supplierId,
      quantityByBuild: new Map<string, Quantity>(),
    };
    const soFar = group.quantityByBuild.get(need.buildId) ?? '0';
    group.quantityByBuild.set(need.buildId, sumQuantities([soFar, need.quantity]));
    groups.set(key, group);
  }
  return [...groups].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, group]) => group);
}

/** What packs cost that each build buys for itself, and those that the offer asks for beyond. */
function boughtApart(offer: Offer, alone: readonly number[], beyond: number): Money {
  if ((offer.priceBreaks ?? []).length === 0) {
    const packs = alone.reduce((sum, count) => sum + count, beyond);
    return offerAmount(offer, packs);
  }
  const apart = alone.map((packs) => offerAmount(offer, packs));
  const rest = timesMoney(offer.packPrice, beyond);
  return sumMoney([...apart, rest], offer.packPrice.currency);
}

/**
 * An order proposal from the needs of many builds: needs of one material for one delivery village
 * are added up, the cheapest valid offer is chosen, and packs are rounded once.
 *
 * Each line says what rounding costs (ordered − need) and what buying build by build would have
 * cost at the same offer. Needs that no offer serves are listed with the reason.
 *
 * @param onDate the date at which offers must hold, YYYY-MM-DD
 * @throws {EngineError} `out-of-range` for a bad date, pack or quantity
 * @source worked-tank
 */
export function aggregateOrders(
  needs: readonly MaterialNeed[],
  offers: readonly Offer[],
  onDate: string,
  currency: string,
): OrderProposal {
  const lines: OrderLine[] = [];
  const unserved: UnservedNeed[] = [];
  for (const group of grouped(needs)) {
    const { materialCode, unitCode, deliveryVillageId, supplierId, quantityByBuild } = group;
    const perBuild = [...quantityByBuild.values()];
    const need = sumQuantities(perBuild);
    if (compareQuantities(need, '0') === 0) continue;
    const candidates = offers.filter(
      (offer) => supplierId === null || offer.supplierId === supplierId,
    );
    const { best, refused } = cheapestValidOffer(candidates, onDate, {
      materialCode,
      unitCode,
      quantity: need,
      currency,
      deliveryVillageId,
    });
    if (best === null) {
      const isOffered = offers.some((offer) => offer.materialCode === materialCode);
      unserved.push({
        materialCode,
        unitCode,
        deliveryVillageId,
        need,
        reason: refused[0]?.reason ?? (isOffered ? 'other-supplier' : 'no-offer'),
        offers: refused,
      });
      continue;
    }
    const { offer, packCount, packPrice, amount } = best;
    const ordered = scaleQuantity(offer.packContent, packCount);
    const alone = perBuild.map((quantity) => packRounded(quantity, offer.packContent).packCount);
    const aloneCount = alone.reduce((sum, packs) => sum + packs, 0);
    const perBuildPackCount = Math.max(aloneCount, packCount);
    lines.push({
      materialCode,
      unitCode,
      supplierId: offer.supplierId,
      offerId: offer.offerId,
      deliveryVillageId,
      need,
      packContent: offer.packContent,
      packCount,
      packPrice,
      ordered,
      rounding: subtractQuantities(ordered, need),
      amount,
      buildCount: perBuild.length,
      perBuildPackCount,
      perBuildAmount: boughtApart(offer, alone, perBuildPackCount - aloneCount),
    });
  }
  return {
    currency,
    onDate,
    lines,
    unserved,
    totalAmount: sumMoney(
      lines.map((line) => line.amount),
      currency,
    ),
    totalPackCount: lines.reduce((sum, line) => sum + line.packCount, 0),
    perBuildTotalAmount: sumMoney(
      lines.map((line) => line.perBuildAmount),
      currency,
    ),
    perBuildTotalPackCount: lines.reduce((sum, line) => sum + line.perBuildPackCount, 0),
  };
}
