import type { OrderSummary } from '../../shared/contract/order.ts';
import type { OrderPlan } from '../../shared/contract/order-plan.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { type DemoBuild, type DemoSeason, listAll } from './demo-builds.ts';
import type { DemoClient } from './demo-client.ts';
import { deliverDemoOrders } from './demo-deliveries.ts';
import type { Clients } from './demo-people.ts';
import type { makePlaces } from './demo-records.ts';

type Places = Awaited<ReturnType<typeof makePlaces>>;

/** Share of the builds, in their order, whose materials are ordered by now. */
const ORDERED_SHARE = 0.6;
const CEMENT_PER_BUILD_KG = '200';

/** One aggregated order plan for the first builds; most orders approved and placed, part of the goods received. */
export async function supplyDemoSeason(
  clients: Clients,
  season: DemoSeason,
  places: Places,
  builds: readonly DemoBuild[],
  today: string,
): Promise<void> {
  const { coordinator, deputy, storekeeper } = clients;
  const { programme, startsOn } = season;
  const ordered = builds.slice(0, Math.floor(builds.length * ORDERED_SHARE));
  const plan = await coordinator.post<OrderPlan>(`/programmes/${programme.id}/order-plans`, {
    pricedOn: startsOn,
    buildIds: ordered.map(({ id }) => id),
  });
  const orders = await listAll<OrderSummary>(coordinator, `/orders?orderPlanId=${plan.id}`);
  const placed = orders.filter((_, index) => index % 6 !== 5);
  for (const { id } of placed) {
    await deputy.post(`/orders/${id}/decisions`, { decision: 'approved' });
    await coordinator.post(`/orders/${id}/placements`, {
      placedOn: addDays(startsOn, 2),
      budgetLineCode: 'MAT',
    });
  }
  const received = placed.filter((_, index) => index % 3 !== 2);
  await deliverDemoOrders(clients, {
    orders: received,
    startsOn,
    storeOf: ({ supplierCode }) =>
      places.storeIds.get(supplierCode === 'BANDCO' ? 'ST-SOUTH' : 'ST-NORTH'),
  });
  await issueCement(storekeeper, places, builds, today);
}

/** Cement goes out of the north store to the builds that have begun, in whole bags, while there is some. */
async function issueCement(
  storekeeper: DemoClient,
  places: Places,
  builds: readonly DemoBuild[],
  today: string,
): Promise<void> {
  const storeId = places.storeIds.get('ST-NORTH');
  const balances = await storekeeper.get<{
    items: { materialId: string; materialCode: string; quantity: string }[];
  }>(`/stock-balances?storeId=${storeId}`);
  const cement = balances.items.find(({ materialCode }) => materialCode === 'cement');
  if (!cement) return;
  const possible = Math.floor(Number(cement.quantity) / Number(CEMENT_PER_BUILD_KG) / 2);
  const begun = builds.filter(({ plannedStartOn }) => plannedStartOn <= today);
  for (const build of begun.slice(0, possible)) {
    await storekeeper.post('/stock-issues', {
      storeId,
      buildId: build.id,
      observedOn: build.plannedStartOn,
      documentNumber: `IS-${build.code}`,
      lines: [{ materialId: cement.materialId, quantity: CEMENT_PER_BUILD_KG }],
    });
  }
}
