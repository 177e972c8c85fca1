import { describe, expect, it } from 'vitest';
import {
  firmYield,
  MONTHLY_STEP_REASON,
  rainfallByMonth,
  sequentPeak,
  summariseStorage,
} from '../../../shared/index.ts';
import examples from './hand-examples.json' with { type: 'json' };
import { NOAA_STARTS_ON, noaaRainMm, type Station } from './noaa-rain.ts';
import { expectPrinted } from './printed.ts';
import limits from './storage-limits.json' with { type: 'json' };
import { storageProgramme } from './storage-programme.ts';

const STATIONS = ['seattle', 'new-york'] as const;
const inflowOf = (station: string) => noaaRainMm(station as Station).map((rainMm) => 40 * rainMm);

describe('firm yield of the NOAA series', () => {
  for (const station of STATIONS) {
    it(`is the printed one for ${station}, and just fits the tank`, () => {
      const dailyInflowL = inflowOf(station);
      limits.firmYieldLPerDay[station].forEach((printed, index) => {
        const capacityL = limits.capacitiesL[index] as number;
        const { firmYieldLPerDay, isLimitedByInflow } = firmYield({ dailyInflowL, capacityL });
        expectPrinted(firmYieldLPerDay, printed, `${station} ${capacityL}`);
        const needed = sequentPeak({ dailyInflowL, demandLPerDay: firmYieldLPerDay }).cyclicL;
        if (isLimitedByInflow) expect(needed).toBeLessThanOrEqual(capacityL);
        else expect(needed).toBeCloseTo(capacityL, 6);
      });
    });
  }

  it('is limited by the inflow only where the tank no longer binds', () => {
    const of = (station: Station, capacityL: number) =>
      firmYield({ dailyInflowL: inflowOf(station), capacityL }).isLimitedByInflow;
    expect(of('new-york', 20_000)).toBe(true);
    expect(of('new-york', 10_000)).toBe(false);
    expect(of('seattle', 20_000)).toBe(false);
  });
});

// Independent method: linear programmes solved by HiGHS.
describe('linear programmes', { timeout: 60_000 }, () => {
  it.each(limits.programme)('give the least storage of $series', (row) => {
    const dailyInflowL = inflowOf(row.series);
    const goal = { demandLPerDay: row.demandLPerDay };
    const cyclicL = storageProgramme(dailyInflowL, goal, 'cyclic');
    const fullL = storageProgramme(dailyInflowL, goal, 'full');
    expect(cyclicL).toBeCloseTo(Number(row.cyclicL), 4);
    expect(fullL).toBeCloseTo(Number(row.fullL), 4);
    const peak = sequentPeak({ dailyInflowL, ...goal });
    expectPrinted(peak.cyclicL, row.cyclicL, 'cyclic');
    expectPrinted(peak.onePassL, row.fullL, 'full');
  });

  it.each(STATIONS)('give the firm yield of %s', (station) => {
    const dailyInflowL = inflowOf(station);
    for (const capacityL of [2000, 20_000]) {
      const greatest = storageProgramme(dailyInflowL, { capacityL }, 'cyclic');
      expect(firmYield({ dailyInflowL, capacityL }).firmYieldLPerDay).toBeCloseTo(greatest, 5);
    }
  });

  it('give the storage of the textbook table', () => {
    const { inflows } = examples.sequentPeakTable;
    expect(storageProgramme(inflows, { demandLPerDay: 3.5 }, 'cyclic')).toBeCloseTo(7.5, 9);
  });
});

describe('a monthly step', () => {
  const months = rainfallByMonth({ startsOn: NOAA_STARTS_ON, dailyRainMm: noaaRainMm('seattle') });
  const monthly = {
    dailyInflowL: months.map((month) => 40 * month.rainMm),
    demandLPerDay: months.map((month) => 100 * month.dayCount),
  };
  for (const operatingRule of ['yield-after-spillage', 'yield-before-spillage'] as const) {
    it(`gives the printed, useless reliabilities under ${operatingRule}`, () => {
      const results = summariseStorage({
        ...monthly,
        operatingRule,
        capacitiesL: limits.capacitiesL,
      });
      limits.monthlyStep[operatingRule].forEach((printed, index) => {
        const ratio = results[index]?.volumetricReliabilityRatio ?? null;
        expectPrinted(ratio, printed, `${operatingRule} ${limits.capacitiesL[index]}`);
        if (limits.capacitiesL[index] === 5000 && ratio !== null) {
          expect(MONTHLY_STEP_REASON).toContain(`${ratio.toFixed(3)} by month`);
        }
      });
    });
  }

  it('names the daily reliabilities of the same tank in its reason', () => {
    for (const operatingRule of ['yield-after-spillage', 'yield-before-spillage'] as const) {
      const [daily] = summariseStorage({
        dailyInflowL: inflowOf('seattle'),
        demandLPerDay: 100,
        operatingRule,
        capacitiesL: [5000],
      });
      const printed = daily?.volumetricReliabilityRatio.toFixed(3);
      expect(MONTHLY_STEP_REASON).toContain(`${printed} by day`);
    }
  });
});
