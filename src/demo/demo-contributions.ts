import type { Contribution } from '../../shared/contract/contribution.ts';
import { addDays } from '../../shared/units/calendar.ts';
import type { DemoSeason } from './demo-builds.ts';
import type { Clients } from './demo-people.ts';
import type { Ids } from './demo-records.ts';
import { CURRENCY, VILLAGES } from './scenario.ts';

/** Broken stone that each village brings for the beds of its tanks [m³], and its invented value. */
const STONE_PER_SITE_M3 = 0.3;
const STONE_VALUE = '15.00';
/** The village that has brought half, and the one that has brought half and was let off the rest. */
const LATE = 'DUNE';
const WAIVED = 'SALT';

/** What the villages agreed to bring and brought; one gate is closed, one was opened by a waiver. */
export async function recordDemoContributions(
  { coordinator, supervisor }: Clients,
  { programme, startsOn }: DemoSeason,
  { villageIds, materialIds }: { villageIds: Ids; materialIds: Ids },
): Promise<void> {
  for (const { code, siteCount } of VILLAGES) {
    const agreed = siteCount * STONE_PER_SITE_M3;
    const { id } = await coordinator.post<Contribution>('/contributions', {
      programmeId: programme.id,
      villageId: villageIds.get(code),
      materialId: materialIds.get('hardcore'),
      agreedQuantity: agreed.toFixed(2),
      valuationRule: 'Price of the same stone at the nearest yard, carriage left out (invented)',
      unitRate: STONE_VALUE,
      currency: CURRENCY,
      agreedOn: addDays(startsOn, 1),
      dueOn: addDays(startsOn, 30),
      evidence: `village agreement VA-${code}`,
    });
    const isPartly = code === LATE || code === WAIVED;
    for (const load of isPartly ? [1] : [1, 2]) {
      await supervisor.post(`/contributions/${id}/records`, {
        quantity: (agreed / 2).toFixed(2),
        observedOn: addDays(startsOn, 10 * load),
        evidence: `load sheet LS-${code}-${load}`,
      });
    }
    if (code === WAIVED) {
      await coordinator.post(`/contributions/${id}/waivers`, {
        waivedOn: addDays(startsOn, 32),
        reason: 'The track to the stone was washed out; the rest is bought',
      });
    }
  }
}
