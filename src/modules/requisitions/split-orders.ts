import type { RequisitionLine } from '../../../shared/contract/requisition.ts';
import { packUnitRate } from '../../../shared/costing/money.ts';
import { offerAmount } from '../../../shared/costing/offer-amount.ts';
import {
  compareQuantities,
  scaleQuantity,
  subtractQuantities,
  sumQuantities,
} from '../../../shared/takeoff/quantity.ts';
import { addDays, isoWeekday } from '../../../shared/units/calendar.ts';
import type { DraftLine, DraftOrder } from '../orders/draft-orders.ts';
import type { OrderedOffer } from './source-repository.ts';

interface Bought {
  readonly offer: OrderedOffer;
  packCount: number;
  needQuantity: string;
}

interface Group {
  readonly supplierId: string;
  readonly deliveryVillageId: string;
  neededBy: string;
  readonly bought: Map<string, Bought>;
}

/** The Monday of the week of a day. */
const weekOf = (day: string) => addDays(day, 1 - isoWeekday(day));

/**
 * One order for each supplier, village and week of need. Lines of one offer are bought together, with
 * the breaks of price of all their packs; what an order cannot hold - another offer of a material, or
 * more packs than the offer gives - goes into a further order.
 */
export function splitIntoOrders(
  code: string,
  lines: readonly RequisitionLine[],
  offers: ReadonlyMap<string, OrderedOffer>,
): DraftOrder[] {
  const groups = new Map<string, Group[]>();
  const inTurn = [...lines].sort((a, b) =>
    `${a.neededBy} ${a.supplierCode}` < `${b.neededBy} ${b.supplierCode}` ? -1 : 1,
  );
  for (const line of inTurn) {
    const offer = offers.get(line.offerId);
    if (!offer) throw new Error('A requisition line has lost its offer');
    const { supplierId, deliveryVillageId, neededBy, packCount, needQuantity } = line;
    const key = `${supplierId} ${deliveryVillageId} ${weekOf(neededBy)}`;
    const orders = groups.get(key) ?? [];
    groups.set(key, orders);
    let order = orders.find(({ bought }) => takes(bought.get(line.materialId), offer, packCount));
    if (!order) {
      order = { supplierId, deliveryVillageId, neededBy, bought: new Map() };
      orders.push(order);
    }
    if (neededBy < order.neededBy) order.neededBy = neededBy;
    const earlier = order.bought.get(line.materialId);
    order.bought.set(line.materialId, {
      offer,
      packCount: (earlier?.packCount ?? 0) + packCount,
      needQuantity: sumQuantities([earlier?.needQuantity ?? '0', needQuantity]),
    });
  }
  return [...groups.values()].flat().map(({ bought, ...order }, index) => ({
    ...order,
    code: `${code}-${String(index + 1).padStart(2, '0')}`,
    lines: [...bought.values()].map(toLine),
  }));
}

function takes(earlier: Bought | undefined, offer: OrderedOffer, packCount: number): boolean {
  if (!earlier) return true;
  const most = offer.maximumPacks ?? Number.MAX_SAFE_INTEGER;
  return earlier.offer.id === offer.id && earlier.packCount + packCount <= most;
}

function toLine({ offer, packCount, needQuantity }: Bought): DraftLine {
  const { packContent, pricePerPack, currency, priceBreaks, breakRule, minimumPacks } = offer;
  const packPrice = { amount: pricePerPack, currency };
  const amount = offerAmount({ packPrice, priceBreaks, breakRule, minimumPacks }, packCount);
  const orderedQuantity = scaleQuantity(packContent, packCount);
  const need =
    compareQuantities(needQuantity, orderedQuantity) > 0 ? orderedQuantity : needQuantity;
  return {
    materialId: offer.materialId,
    offerId: offer.id,
    unitCode: offer.unitCode,
    needQuantity: need,
    packCode: offer.packCode,
    packContent,
    packCount,
    orderedQuantity,
    roundingQuantity: subtractQuantities(orderedQuantity, need),
    pricePerPack: priceBreaks.length === 0 ? pricePerPack : packUnitRate(amount, String(packCount)),
    amount: amount.amount,
  };
}
