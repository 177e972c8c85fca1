import type { NewRequisition } from '../../../shared/contract/requisition.ts';
import { compareQuantities, scaleQuantity } from '../../../shared/takeoff/quantity.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import { type FieldError, invalidContent } from '../../domain/errors.ts';
import type { RequisitionInsert } from './repository.ts';
import { findOffers, findVillages, type OrderedOffer } from './source-repository.ts';

type NewLine = NewRequisition['lines'][number];

/** Lines by hand, each with an offer that holds today and serves what the line says. */
export async function checkLines(
  tx: Tx,
  lines: readonly NewLine[],
  { today, currency }: { readonly today: string; readonly currency: string },
): Promise<RequisitionInsert['lines']> {
  const offers = await findOffers(
    tx,
    lines.map(({ offerId }) => offerId),
  );
  const villages = await findVillages(
    tx,
    lines.map(({ deliveryVillageId }) => deliveryVillageId),
  );
  const errors: FieldError[] = [];
  const checked: RequisitionInsert['lines'][number][] = [];
  for (const [index, line] of lines.entries()) {
    const refuse = (field: keyof NewLine, code: string, message: string) =>
      errors.push({
        pointer: `/lines/${index}/${field}`,
        code,
        message,
        rejectedValue: line[field],
      });
    if (!villages.has(line.deliveryVillageId)) {
      refuse('deliveryVillageId', 'reference.unknown', 'names a village that does not exist');
    }
    const offer = offers.get(line.offerId);
    if (!offer) {
      refuse('offerId', 'reference.unknown', 'names an offer that does not exist');
      continue;
    }
    if (offer.materialId !== line.materialId) {
      refuse('materialId', 'offer.other-material', 'is not the material of the offer');
    }
    if (offer.category === 'labour') {
      refuse('materialId', 'labour-not-ordered', 'is labour, which is not ordered');
    }
    if (offer.currency !== currency) {
      refuse(
        'offerId',
        'offer.other-currency',
        `is in ${offer.currency}, the programme in ${currency}`,
      );
    }
    const reason = notHolding(offer, today);
    if (reason) refuse('offerId', 'offer.not-valid', reason);
    const limits = packLimits(offer, line.packCount);
    if (limits) refuse('packCount', 'offer.pack-limits', limits);
    if (line.neededBy < today) refuse('neededBy', 'date.past', `must not be before ${today}`);
    const content = scaleQuantity(offer.packContent, line.packCount);
    const needQuantity = line.needQuantity ?? content;
    if (compareQuantities(needQuantity, content) > 0) {
      refuse('needQuantity', 'need.above-packs', `must not be above the ${content} of the packs`);
    }
    checked.push({
      supplyPlanLineId: null,
      materialId: line.materialId,
      deliveryVillageId: line.deliveryVillageId,
      offerId: line.offerId,
      needQuantity,
      packCount: line.packCount,
      placeBy: addDays(line.neededBy, -offer.leadDays),
      neededBy: line.neededBy,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
  return checked;
}

/** Why an offer does not hold on a day; null when it does. */
export function notHolding(offer: OrderedOffer, day: string): string | null {
  if (day < offer.validFrom || day > offer.validUntil) {
    return `holds from ${offer.validFrom} to ${offer.validUntil}, not on ${day}`;
  }
  if (offer.withdrawnOn !== null && offer.withdrawnOn <= day) {
    return `was withdrawn on ${offer.withdrawnOn}`;
  }
  return null;
}

/** What is wrong with a number of packs of an offer; null when nothing is. */
export function packLimits(
  { minimumPacks, maximumPacks }: OrderedOffer,
  packCount: number,
): string | null {
  if (packCount < minimumPacks) return `must not be below the offer's least of ${minimumPacks}`;
  if (maximumPacks !== null && packCount > maximumPacks) {
    return `must not be above the offer's most of ${maximumPacks}`;
  }
  return null;
}
