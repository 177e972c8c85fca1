import { addDays } from '../../shared/units/calendar.ts';
import { buildApp } from '../app.ts';
import type { Database } from '../db/database.ts';
import type { Clock } from '../domain/clock.ts';
import { startWorker } from '../jobs/worker.ts';
import { makeDeliveryOffers } from './delivery-terms.ts';
import { planDemoBuilds } from './demo-builds.ts';
import { signIn } from './demo-client.ts';
import { recordDemoContributions } from './demo-contributions.ts';
import { makeDesigns } from './demo-designs.ts';
import { recordDemoMoney } from './demo-money.ts';
import {
  type Clients,
  foundDemoOrganisation,
  giveAdminItsAddress,
  inviteDemoPerson,
  LOADING_ADMIN,
  type Mailbox,
} from './demo-people.ts';
import { makeDonors, makePlaces, makeProgramme } from './demo-records.ts';
import { supplyDemoSeason } from './demo-supply.ts';
import { recordDemoVisits } from './demo-visits.ts';
import { recordFieldSeason } from './field-season.ts';
import { makePriceList } from './price-list.ts';
import { SEED } from './scenario.ts';
import { seededRandom } from './seeded-random.ts';
import { inventedSiteList } from './site-list.ts';

/**
 * The whole demonstration season, half-way through, made at the service's own interface by its own
 * people: what no person could do, the demo does not have.
 */
export async function buildDemoSeason(
  db: Database,
  clock: Clock,
  password: string,
  say: (line: string) => void,
): Promise<void> {
  const app = await buildApp({ db, clock, limitsRates: false, shedsLoad: false });
  const worker = await startWorker({ db });
  const today = clock.today();
  const random = seededRandom(SEED);
  try {
    const founder = await foundDemoOrganisation(db, password);
    const admin = await signIn(app, LOADING_ADMIN, password);
    const invite = (mailbox: Mailbox, donorId?: string) =>
      inviteDemoPerson(app, admin, password, mailbox, donorId);
    const coordinator = await invite('coordinator');
    const donorIds = await makeDonors(coordinator);
    const clients: Clients = {
      admin,
      coordinator,
      deputy: await invite('deputy'),
      engineer: await invite('engineer'),
      supervisor: await invite('supervisor'),
      storekeeper: await invite('storekeeper'),
      inspector: await invite('inspector'),
    };
    await invite('donor', donorIds.get('LANTERN'));
    say('demo: people and donors');
    const places = await makePlaces(coordinator, random);
    const season = await makeProgramme(coordinator, donorIds, places.villageIds, today);
    const materialIds = await makePriceList(coordinator, places.supplierIds, season);
    await makeDeliveryOffers(coordinator, places, season);
    await makeDesigns(clients, season.programme.id);
    say('demo: places, rain, prices and designs');
    const siteList = inventedSiteList(random, addDays(season.startsOn, -10));
    const builds = await planDemoBuilds(clients, season, siteList);
    say(`demo: ${builds.length} builds planned`);
    await supplyDemoSeason(clients, season, places, builds, today);
    await recordDemoContributions(clients, season, { ...places, materialIds });
    await recordFieldSeason(clients, builds, random, today);
    say('demo: materials and stage records');
    await recordDemoVisits(clients, builds, today);
    await recordDemoMoney(clients, season, builds, today);
    await giveAdminItsAddress(db, founder);
  } finally {
    await worker.stop();
    await app.close();
  }
}
