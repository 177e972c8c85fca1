import { addDays } from '../../shared/units/calendar.ts';
import type { DemoClient } from './demo-client.ts';
import type { Ids } from './demo-records.ts';
import { CURRENCY, VILLAGES } from './scenario.ts';

/** Invented terms of a supplier's lorry; which of a village's two roads it comes by. */
export const LORRIES = [
  { supplier: 'MILLGATE', road: 0, costPerTrip: '18.00', payloadKg: 5_000, weekdays: [1, 3, 5] },
  { supplier: 'BANDCO', road: 1, costPerTrip: '15.00', payloadKg: 2_500, weekdays: [2, 4] },
  { supplier: 'GROVE', road: 0, costPerTrip: '9.00', payloadKg: 1_500, weekdays: [1, 2, 3, 4, 5] },
] as const;
export const COST_PER_KM = '0.85';
/** Carried by the village's own carts. */
const CART = { supplier: 'VILLAGE', costPerTrip: '0.00', payloadKg: 800 };

/** What every supplier asks for a trip to every village of the season. */
export async function makeDeliveryOffers(
  coordinator: DemoClient,
  { supplierIds, villageIds }: { supplierIds: Ids; villageIds: Ids },
  season: { startsOn: string; endsOn: string },
): Promise<void> {
  for (const { code, roadKm } of VILLAGES) {
    const common = {
      villageId: villageIds.get(code),
      currency: CURRENCY,
      validFrom: addDays(season.startsOn, -30),
      validUntil: season.endsOn,
    };
    for (const { supplier, road, weekdays, ...terms } of LORRIES) {
      await coordinator.post('/delivery-offers', {
        ...common,
        ...terms,
        supplierId: supplierIds.get(supplier),
        costPerKm: COST_PER_KM,
        roadKm: roadKm[road],
        deliveryWeekdays: weekdays,
      });
    }
    const { supplier, ...terms } = CART;
    await coordinator.post('/delivery-offers', {
      ...common,
      ...terms,
      supplierId: supplierIds.get(supplier),
    });
  }
}
