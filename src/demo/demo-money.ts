import type { Build } from '../../shared/contract/build.ts';
import type { OrderSummary } from '../../shared/contract/order.ts';
import { addDays } from '../../shared/units/calendar.ts';
import { type DemoBuild, type DemoSeason, listAll } from './demo-builds.ts';
import { type Body, fewAtATime } from './demo-client.ts';
import type { Clients } from './demo-people.ts';
import { CURRENCY, GRANTS } from './scenario.ts';

const TRANSPORT_PER_BUILD = '14.50';
const VILLAGE_DAYS_PER_BUILD = '45.00';

/**
 * What the season cost so far: orders committed, accrued and paid, transport and skilled labour by
 * build, village labour in kind, and one frozen report a grant.
 */
export async function recordDemoMoney(
  { coordinator }: Clients,
  season: DemoSeason,
  builds: readonly DemoBuild[],
  today: string,
): Promise<void> {
  const { programme, startsOn, grantIds } = season;
  await payOrders(coordinator, season, today);
  const stands = await listAll<Build>(coordinator, `/builds?programmeId=${programme.id}`);
  const begun = new Map(stands.filter(({ startedOn }) => startedOn !== null).map((b) => [b.id, b]));
  await fewAtATime(
    builds.filter(({ id }) => begun.has(id)),
    4,
    async (build) => {
      const common = {
        programmeId: programme.id,
        buildId: build.id,
        occurredOn: begun.get(build.id)?.startedOn ?? today,
      };
      await coordinator.post('/cost-splits', {
        ...common,
        state: 'paid',
        funding: 'cash',
        budgetLineCode: 'TRN',
        description: `Transport of materials to ${build.code}`,
        evidence: `TR-${build.code}`,
        amount: { amount: TRANSPORT_PER_BUILD, currency: CURRENCY },
      });
      await coordinator.post('/cost-splits', {
        ...common,
        state: 'accrued',
        funding: 'cash',
        budgetLineCode: 'LAB',
        description: `Skilled labour at ${build.code}`,
        evidence: `WS-${build.code}`,
        amount: { amount: '160.00', currency: CURRENCY },
      });
      await coordinator.post('/cost-splits', {
        ...common,
        state: 'paid',
        funding: 'in-kind',
        description: `Village labour at ${build.code}, at the local day rate`,
        evidence: `attendance sheet AS-${build.code}`,
        amount: { amount: VILLAGE_DAYS_PER_BUILD, currency: CURRENCY },
      });
    },
  );
  for (const { code } of GRANTS) {
    await coordinator.post(`/grants/${grantIds.get(code)}/reports`, {
      code: `REP-${code.slice(2)}-1`,
      periodFrom: startsOn,
      periodUntil: today,
      dataOn: today,
    });
  }
}

/** Placed orders are committed to the first grant; those received are accrued, the oldest paid. */
async function payOrders(coordinator: Clients['coordinator'], season: DemoSeason, today: string) {
  const { programme, startsOn, grantIds } = season;
  const orders = await listAll<OrderSummary>(coordinator, `/orders?programmeId=${programme.id}`);
  const codes = GRANTS.map(({ code }) => code);
  const lines = new Map<string, string>();
  for (const code of codes) {
    const found = await listAll<Body & { code: string }>(
      coordinator,
      `/budget-lines?grantId=${grantIds.get(code)}`,
    );
    lines.set(code, found.find((line) => line.code === 'MAT')?.id ?? '');
  }
  const placed = orders.filter(({ placedOn }) => placedOn !== null);
  for (const [index, order] of placed.entries()) {
    const grant = codes[index % codes.length] ?? 'G-LANTERN';
    const committed = await coordinator.post('/cost-entries', {
      programmeId: programme.id,
      orderId: order.id,
      grantId: grantIds.get(grant),
      budgetLineId: lines.get(grant),
      state: 'committed',
      funding: 'cash',
      occurredOn: order.placedOn,
      description: `Order ${order.code}`,
      amount: order.amount,
    });
    if (order.status === 'placed') continue;
    const state = index % 2 === 0 ? 'paid' : 'accrued';
    await coordinator.post(`/cost-entries/${committed.id}/advances`, {
      state,
      occurredOn: addDays(startsOn, 12) < today ? addDays(startsOn, 12) : today,
      evidence: `invoice of ${order.code}`,
    });
  }
}
