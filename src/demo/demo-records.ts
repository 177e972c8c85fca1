import { addDays } from '../../shared/units/calendar.ts';
import type { Body, DemoClient } from './demo-client.ts';
import { inventedDailyRain } from './invented-rain.ts';
import {
  BUDGET_LINES,
  CREWS,
  CURRENCY,
  DISTRICT,
  DONORS,
  EXCHANGE_RATES,
  GRANTS,
  STATIONS,
  STORES,
  SUPPLIERS,
  VILLAGES,
} from './scenario.ts';
import type { Random } from './seeded-random.ts';

export type Ids = ReadonlyMap<string, string>;

/** Days before today on which the season began, and its length. */
export const SEASON_AGE_DAYS = 84;
export const SEASON_DAYS = 235;
/** Twenty whole years, the same on every day that the demo is loaded. */
const RAIN_RECORD = { startsOn: '2006-01-01', endsOn: '2025-12-31' };

async function postAll<Item extends { code: string }>(
  client: DemoClient,
  path: string,
  items: readonly Item[],
  toBody: (item: Item) => object,
): Promise<Map<string, string>> {
  const ids = new Map<string, string>();
  for (const item of items) ids.set(item.code, (await client.post(path, toBody(item))).id);
  return ids;
}

export async function makeDonors(coordinator: DemoClient): Promise<Ids> {
  return postAll(coordinator, '/donors', DONORS, ({ code, name }) => ({ code, name }));
}

/** Stores, stations with twenty years of invented rain, villages and suppliers. */
export async function makePlaces(coordinator: DemoClient, random: Random) {
  const storeIds = await postAll(coordinator, '/stores', STORES, (store) => store);
  const stationIds = await postAll(coordinator, '/rain-stations', STATIONS, ({ code, name }) => ({
    code,
    name,
    source: 'invented: seeded generator of the demonstration season',
  }));
  const { startsOn, endsOn } = RAIN_RECORD;
  for (const station of STATIONS) {
    await coordinator.post(`/rain-stations/${stationIds.get(station.code)}/series`, {
      startsOn,
      dailyRainMm: inventedDailyRain(random, startsOn, endsOn, station.wetnessRatio),
      source: 'invented: seeded generator of the demonstration season',
    });
  }
  const villageIds = await postAll(coordinator, '/villages', VILLAGES, (village) => {
    const cutOff: readonly number[] = 'cutOff' in village ? village.cutOff : [];
    const months = Array.from({ length: 12 }, (_, index) => index + 1);
    return {
      code: village.code,
      name: village.name,
      district: DISTRICT,
      latDeg: Math.round((random.next() * 0.4 - 0.2) * 1e4) / 1e4,
      lonDeg: Math.round(random.next() * 0.4 * 1e4) / 1e4,
      rainStationId: stationIds.get(village.station),
      reachableMonths: months.filter((month) => !cutOff.includes(month)),
      roads: STORES.map(({ code }, index) => ({
        storeId: storeIds.get(code),
        roadKm: village.roadKm[index],
      })),
    };
  });
  const supplierIds = await postAll(coordinator, '/suppliers', SUPPLIERS, (supplier) => supplier);
  return { storeIds, villageIds, supplierIds };
}

/** The programme half-way through its season, its grants, budgets, rates and crews. */
export async function makeProgramme(
  coordinator: DemoClient,
  donorIds: Ids,
  villageIds: Ids,
  today: string,
) {
  const startsOn = addDays(today, -SEASON_AGE_DAYS);
  const endsOn = addDays(startsOn, SEASON_DAYS);
  const programme = await coordinator.post('/programmes', {
    code: 'AMBERWELL-1',
    name: 'Amberwell tanks, first season (invented)',
    startsOn,
    endsOn,
    currency: CURRENCY,
    targetReliabilityRatio: 0.8,
    litresPerPersonPerDay: 12,
  });
  const grantIds = await postAll(coordinator, '/grants', GRANTS, (grant) => ({
    programmeId: programme.id,
    donorId: donorIds.get(grant.donor),
    code: grant.code,
    title: `Tanks of the first season, ${grant.donor.toLowerCase()} share`,
    amount: { amount: grant.amount, currency: grant.currency },
    startsOn: addDays(startsOn, -30),
    endsOn: addDays(endsOn, 90),
    ratePolicy: grant.ratePolicy,
    restrictions: 'No vehicles, no salaries of office staff.',
  }));
  for (const { code, amount, currency } of GRANTS) {
    for (const line of BUDGET_LINES) {
      const share = ((Number(amount) * line.percent) / 100).toFixed(2);
      await coordinator.post('/budget-lines', {
        grantId: grantIds.get(code),
        code: line.code,
        title: line.title,
        amount: { amount: share, currency },
      });
    }
  }
  await makeRates(coordinator, startsOn);
  const crewIds = await postAll(coordinator, '/crews', CREWS, ({ code, name, size, home }) => ({
    programmeId: programme.id,
    code,
    name,
    size,
    homeVillageId: villageIds.get(home),
  }));
  return {
    programme: programme as Body & { version: number },
    startsOn,
    endsOn,
    grantIds,
    crewIds,
  };
}

/** A rate for the start of each grant and one for every fifteen days since. */
async function makeRates(coordinator: DemoClient, startsOn: string) {
  for (const { from, to, rates } of EXCHANGE_RATES) {
    for (let step = -2; step <= SEASON_AGE_DAYS / 15; step++) {
      await coordinator.post('/exchange-rates', {
        fromCurrency: from,
        toCurrency: to,
        rate: rates[(step + 4) % rates.length],
        rateOn: addDays(startsOn, step * 15),
        source: 'invented bank',
      });
    }
  }
}
