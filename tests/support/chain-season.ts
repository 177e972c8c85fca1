import { addDays, calendarDay, daysBetween } from '../../shared/units/calendar.ts';
import { clientOf, fewAtATime } from './chain-client.ts';
import { recordsOf } from './made-records.ts';
import { CATALOGUE } from './season.ts';
import type { TestService } from './service.ts';

export const TODAY = '2027-06-30';
export const CLOCK = { now: () => new Date(`${TODAY}T08:00:00Z`), today: () => TODAY };
export const PRICED_ON = '2027-01-11';

/** Villages of the file of sites; all are invented. */
export const VILLAGES = [
  'ORLIM',
  'PIVAN',
  'TUMBEK',
  'KESKOR',
  'MALUVI',
  'SORETH',
  'DANQUO',
  'FELMAR',
  'JUNTAL',
  'WEXOLA',
] as const;

export const RULES = {
  targetReliabilityRatio: 0.8,
  litresPerPersonPerDay: 12,
  firstFlushMm: 1,
  gutterEfficiencyRatio: 0.9,
} as const;

const STATIONS = [
  { code: 'RS-HIGH', wetDayMm: 18 },
  { code: 'RS-LOW', wetDayMm: 15 },
] as const;
const RECORD = { startsOn: '2015-01-01', endsOn: '2020-12-31' } as const;
const WET_MONTHS = new Set([3, 4, 5, 10, 11]);

const GRANTS = [
  { code: 'G-1', donor: 'MILLPOND', currency: 'EUR', amount: '400000.00' },
  { code: 'G-2', donor: 'TWINTOWN', currency: 'EUR', amount: '300000.00' },
  { code: 'G-3', donor: 'OVERSEA', currency: 'USD', amount: '250000.00' },
] as const;
export const BUDGET_LINES = { MAT: 0.6, LAB: 0.3, TRN: 0.1 } as const;
/** USD for one EUR, each from its day on. */
export const RATES = { '2027-01-05': '1.0835', '2027-03-01': '1.1042', '2027-05-20': '1.0907' };

/** An invented climate by the calendar: every third day of the wet months, two days of the others. */
function rainByCalendar(wetDayMm: number): number[] {
  const days = daysBetween(RECORD.startsOn, RECORD.endsOn) + 1;
  return Array.from({ length: days }, (_, index) => {
    const { month, day } = calendarDay(addDays(RECORD.startsOn, index));
    if (WET_MONTHS.has(month)) return day % 3 === 0 ? wetDayMm : 0;
    return day === 10 || day === 20 ? wetDayMm / 2 : 0;
  });
}

type Make = ReturnType<typeof recordsOf>;

/** People, places, rain, money and prices of an invented season, each made over the interface. */
export async function foundSeason(service: TestService) {
  const coordinator = await service.person(['coordinator']);
  const { organisationId } = coordinator;
  const personAs = async (role: 'engineer' | 'supervisor' | 'storekeeper' | 'inspector') =>
    clientOf(service, await service.person([role], organisationId));
  const people = {
    coordinator: clientOf(service, coordinator),
    approver: clientOf(service, await service.person(['coordinator'], organisationId)),
    author: await personAs('engineer'),
    engineer: await personAs('engineer'),
    supervisor: await personAs('supervisor'),
    storekeeper: await personAs('storekeeper'),
    inspector: await personAs('inspector'),
  };
  const made = recordsOf(service, coordinator);
  const programme = await made.programme({
    code: 'CHAIN',
    startsOn: '2027-01-01',
    endsOn: '2027-12-31',
    ...RULES,
  });
  const { villageIds, rain } = await makePlaces(made);
  await makePrices(made);
  for (const [rateOn, rate] of Object.entries(RATES)) {
    const source = 'invented bank';
    const pair = { fromCurrency: 'EUR', toCurrency: 'USD' };
    await made.make('exchange-rates', { ...pair, rate, rateOn, source });
  }
  const grants: { id: string; donorId: string; code: string; currency: string }[] = [];
  for (const grant of GRANTS) grants.push(await makeGrant(made, programme.id, grant));
  const store = await made.store({ code: 'ST-1' });
  return { ...people, made, programmeId: programme.id, villageIds, rain, grants, store };
}

async function makePlaces(made: Make) {
  const stations: { id: string; dailyRainMm: number[] }[] = [];
  for (const { code, wetDayMm } of STATIONS) {
    const source = 'invented by the calendar';
    const dailyRainMm = rainByCalendar(wetDayMm);
    const { id } = await made.make('rain-stations', { code, name: code, source });
    await made.make(`rain-stations/${id}/series`, {
      startsOn: RECORD.startsOn,
      dailyRainMm,
      source,
    });
    stations.push({ id, dailyRainMm });
  }
  const villageIds = new Map<string, string>();
  const rain = new Map<string, readonly number[]>();
  for (const [index, code] of VILLAGES.entries()) {
    const station = stations[index % stations.length];
    const name = `${code} (invented)`;
    const { id } = await made.village({ code, name, rainStationId: station?.id });
    villageIds.set(code, id);
    rain.set(id, station?.dailyRainMm ?? []);
  }
  return { villageIds, rain };
}

const PACK_CONTENT: Readonly<Record<string, string>> = {
  KGM: '25',
  LTR: '20',
  MTR: '50',
  MTK: '15',
  H87: '12',
};

const euros = (cents: number) => (cents / 100).toFixed(2);

/** Small packs at one yard, large ones at another, dearer or cheaper by turns, and bait that ended. */
async function makePrices(made: Make) {
  const [small, large] = [
    await made.supplier({ code: 'YARD' }),
    await made.supplier({ code: 'DEPOT' }),
  ];
  await fewAtATime([...CATALOGUE.entries()], async ([index, { code, unitCode }]) => {
    const category = code.startsWith('labour-') ? 'labour' : 'other';
    const { id: materialId } = await made.material({ code, name: code, category, unitCode });
    const packContent = PACK_CONTENT[unitCode] ?? '1';
    const cents = 240 + 37 * index;
    const holds = { materialId, validFrom: '2027-01-01', validUntil: '2027-12-31' };
    await made.offer({
      ...holds,
      supplierId: small.id,
      packContent,
      pricePerPack: euros(cents),
    });
    await made.offer({
      ...holds,
      supplierId: large.id,
      packContent: String(Number(packContent) * 4),
      pricePerPack: euros(cents * 4 + (index % 2 === 0 ? -31 : 53)),
    });
    if (index % 5 === 0) {
      const ended = { validFrom: '2026-01-01', validUntil: '2026-12-31' };
      await made.offer({ ...ended, materialId, supplierId: small.id, pricePerPack: '0.01' });
    }
  });
}

async function makeGrant(made: Make, programmeId: string, grant: (typeof GRANTS)[number]) {
  const { code, currency, amount } = grant;
  const donor = await made.donor({ code: grant.donor, name: `${grant.donor} (invented)` });
  const { id } = await made.grant({
    programmeId,
    donorId: donor.id,
    code,
    amount: { amount, currency },
    startsOn: '2027-01-01',
    endsOn: '2027-12-31',
  });
  for (const [line, share] of Object.entries(BUDGET_LINES)) {
    const budget = { amount: (Number(amount) * share).toFixed(2), currency };
    await made.make('budget-lines', { grantId: id, code: line, title: line, amount: budget });
  }
  return { id, donorId: donor.id, code, currency };
}

export type ChainSeason = Awaited<ReturnType<typeof foundSeason>>;
