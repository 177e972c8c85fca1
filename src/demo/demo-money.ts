import type { Build } from '../../shared/contract/build.ts';
import { type DemoBuild, type DemoSeason, listAll } from './demo-builds.ts';
import { fewAtATime } from './demo-client.ts';
import type { Clients } from './demo-people.ts';
import { CURRENCY, GRANTS } from './scenario.ts';

const TRANSPORT_PER_BUILD = '14.50';
const VILLAGE_DAYS_PER_BUILD = '45.00';

/**
 * What the season cost so far beside its orders, which keep their own costs: transport and skilled
 * labour by build, village labour in kind, and one frozen report a grant.
 */
export async function recordDemoMoney(
  { coordinator }: Clients,
  season: DemoSeason,
  builds: readonly DemoBuild[],
  today: string,
): Promise<void> {
  const { programme, startsOn, grantIds } = season;
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
