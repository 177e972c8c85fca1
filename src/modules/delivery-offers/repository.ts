import type { DeliveryOffer, NewDeliveryOffer } from '../../../shared/contract/delivery-offer.ts';
import { holdsOn } from '../../db/dated-terms.ts';
import { recordStore } from '../../db/document-store.ts';
import type { DeliveryOfferModel as DeliveryOfferRow } from '../../db/generated/models.ts';
import { civilDate, civilDateOrNull, decimalText, withDates } from '../../db/wire-values.ts';
import type { DeliveryOfferStore } from './use-cases.ts';

const WITHDRAW_SQL = `
  update delivery_offer set withdrawn_on = $3
  where organisation_id = $1 and id = $2 and withdrawn_on is null returning id`;

export const deliveryOfferStore: DeliveryOfferStore = {
  ...recordStore<DeliveryOfferRow, DeliveryOffer, NewDeliveryOffer>({
    noun: 'delivery offer',
    sortKey: 'validFrom',
    delegate: (prisma) => prisma.deliveryOffer,
    toWire: (row) => ({
      id: row.id,
      supplierId: row.supplierId,
      villageId: row.villageId,
      costPerTrip: decimalText(row.costPerTrip),
      costPerKm: decimalText(row.costPerKm),
      roadKm: row.roadKm,
      payloadKg: row.payloadKg,
      deliveryWeekdays: row.deliveryWeekdays,
      currency: row.currency,
      validFrom: civilDate(row.validFrom),
      validUntil: civilDate(row.validUntil),
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
