import type { NewOffer, Offer } from '../../../shared/contract/offer.ts';
import { holdsOn } from '../../db/dated-terms.ts';
import { recordStore } from '../../db/document-store.ts';
import type { OfferModel as OfferRow } from '../../db/generated/models.ts';
import { civilDate, civilDateOrNull, decimalText, withDates } from '../../db/wire-values.ts';
import type { OfferStore } from './use-cases.ts';

const WITHDRAW_SQL = `
  update offer set withdrawn_on = $3
  where organisation_id = $1 and id = $2 and withdrawn_on is null returning id`;

/** An offer is never changed; it ends, or is withdrawn and followed by another. */
export const offerStore: OfferStore = {
  ...recordStore<OfferRow, Offer, NewOffer>({
    noun: 'offer',
    sortKey: 'validFrom',
    delegate: (prisma) => prisma.offer,
    toWire: (row) => ({
      id: row.id,
      supplierId: row.supplierId,
      materialId: row.materialId,
      packCode: row.packCode as Offer['packCode'],
      packContent: decimalText(row.packContent),
      pricePerPack: decimalText(row.pricePerPack),
      currency: row.currency,
      minimumPacks: row.minimumPacks,
      leadDays: row.leadDays,
      validFrom: civilDate(row.validFrom),
      validUntil: civilDate(row.validUntil),
      maximumPacks: row.maximumPacks,
      orderCost: decimalText(row.orderCost),
      priceBreaks: row.priceBreaks as Offer['priceBreaks'],
      breakRule: row.breakRule as Offer['breakRule'],
      withdrawnOn: civilDateOrNull(row.withdrawnOn),
      createdAt: row.createdAt.toISOString(),
    }),
    toColumns: (input) => withDates(input, ['validFrom', 'validUntil']),
    toCondition: holdsOn,
  }),
  async withdraw(tx, id, withdrawnOn) {
    const changed = await tx.sql(WITHDRAW_SQL, [tx.organisationId, id, withdrawnOn]);
    return changed.length > 0;
  },
};
