import { describe, expect, it } from 'vitest';
import {
  addDays,
  type NamedOperatingRule,
  peopleDays,
  reliability,
  reliabilityByYear,
  type StorageSummary,
  sequentPeak,
  simulateStorage,
  storageReliability,
  summariseStorage,
} from '../../../shared/index.ts';
import { exactBalance } from './exact-balance.ts';
import { NOAA_STARTS_ON, noaaRainMm, type Station } from './noaa-rain.ts';
import { expectPrinted } from './printed.ts';
import reference from './storage-reference.json' with { type: 'json' };

// Every number of storage-reference.json: exact rational arithmetic on the NOAA series.

const RAIN: Record<Station, number[]> = {
  seattle: noaaRainMm('seattle'),
  'new-york': noaaRainMm('new-york'),
};
const BASE = { roofAreaM2: 50, runoffCoefficient: 0.8, demandLPerDay: 100 };
const RULES = ['yield-after-spillage', 'yield-before-spillage'] as const;
const { capacitiesL } = reference;

const inflowOf = (series: string, firstFlushMm = 0) =>
  RAIN[series as Station].map((rainMm) => 40 * Math.max(0, rainMm - firstFlushMm));

const seattle = { dailyInflowL: inflowOf('seattle'), demandLPerDay: 100 };

describe('daily storage balance on the NOAA series', () => {
  it('has the printed inflow of both stations', () => {
    const sum = (values: number[]) => values.reduce((total, value) => total + value, 0);
    expectPrinted(sum(inflowOf('seattle')), reference.totalInflowL.seattle, 'seattle');
    expectPrinted(sum(inflowOf('new-york')), reference.totalInflowL['new-york'], 'new york');
    const flushed = reference.totalInflowL.seattleFirstFlush1Mm;
    expectPrinted(sum(inflowOf('seattle', 1)), flushed, 'seattle, first flush 1 mm');
  });

  for (const rule of RULES) {
    it(`gives every column of the Seattle table under ${rule}, fast and traced`, () => {
      const { columns } = reference.fullTable;
      const served = storageReliability({
        ...BASE,
        dailyRainMm: RAIN.seattle,
        capacitiesL,
        operatingRule: rule,
      });
      reference.fullTable[rule].forEach((row, index) => {
        const capacityL = capacitiesL[index] as number;
        const fast = served.results[index] as StorageSummary;
        const traced = reliability(simulateStorage({ ...seattle, capacityL, operatingRule: rule }));
        row.forEach((printed, column) => {
          const name = columns[column] as keyof StorageSummary;
          expectPrinted(fast[name], printed, `${rule} ${capacityL} ${name}`);
          expectPrinted(traced[name], printed, `${rule} ${capacityL} ${name}, traced`);
        });
        expect(Math.abs(traced.balanceErrorL)).toBeLessThan(1e-6);
      });
    });
  }

  it.each(reference.ratioTables)(
    'gives $measure of $series, $rule, start $initial, flush $firstFlushMm mm',
    (table) => {
      const results = summariseStorage({
        dailyInflowL: inflowOf(table.series, table.firstFlushMm),
        demandLPerDay: 100,
        capacitiesL,
        operatingRule: table.rule as NamedOperatingRule,
        initialVolumeL: table.initial === 'full' ? 'full' : 0,
      });
      table.printed.forEach((printed, index) => {
        const result = results[index] as StorageSummary;
        const actual = result[table.measure as 'daysMetRatio'];
        expectPrinted(actual, printed, `${table.series} ${result.capacityL}`);
      });
    },
  );

  it('gives the first ten evening volumes', () => {
    const { capacityL, printed } = reference.firstTenVolumes;
    const trace = simulateStorage({ ...seattle, capacityL, operatingRule: 'yield-after-spillage' });
    printed.forEach((volume, day) => {
      expectPrinted(trace.endOfDayVolumeL[day] ?? null, volume, `day ${day}`);
    });
  });

  it('gives the supply and the deficit days of each year', () => {
    const { capacityL, years, yieldL, deficitDayCount } = reference.byYear;
    const trace = simulateStorage({ ...seattle, capacityL, operatingRule: 'yield-after-spillage' });
    const byYear = reliabilityByYear(trace, NOAA_STARTS_ON);
    expect(byYear.map((one) => one.year)).toEqual(years);
    byYear.forEach((one, index) => {
      expectPrinted(one.yieldL, yieldL[index] as string, `${one.year} yield`);
      expectPrinted(one.deficitDayCount, deficitDayCount[index] as string, `${one.year} deficit`);
    });
  });

  it('gives the general rule at half', () => {
    const { capacityL, thetaRatio, ...printed } = reference.thetaHalf;
    const input = { ...seattle, operatingRule: { thetaRatio } };
    const traced = reliability(simulateStorage({ ...input, capacityL }));
    const [fast] = summariseStorage({ ...input, capacitiesL: [capacityL] });
    for (const name of [
      'totalYieldL',
      'volumetricReliabilityRatio',
      'daysMetCount',
      'finalVolumeL',
    ] as const) {
      expectPrinted(traced[name], printed[name], name);
      expectPrinted(fast?.[name] ?? null, printed[name], `${name}, fast`);
    }
  });

  it('gives the rationing table', () => {
    const { belowVolumeRatio, demandRatio, columns, rows } = reference.rationing;
    rows.forEach((row, index) => {
      const capacityL = capacitiesL[index] as number;
      const trace = simulateStorage({
        ...seattle,
        capacityL,
        operatingRule: 'yield-after-spillage',
        rationing: { belowVolumeRatio, demandRatio },
      });
      const found = reliability(trace);
      row.forEach((printed, column) => {
        const name = columns[column] as keyof StorageSummary;
        expectPrinted(found[name], printed, `${capacityL} ${name}`);
      });
    });
  });

  it('gives the people-days of modelled supply', () => {
    const { people, litresPerPersonPerDay, capacityL, ...printed } = reference.peopleDays;
    const found = reliability(
      simulateStorage({ ...seattle, capacityL, operatingRule: 'yield-after-spillage' }),
    );
    const days = peopleDays({ people, litresPerPersonPerDay, dayCount: 1461, ...found });
    expectPrinted(days.fullServicePeopleDays, printed.fullServicePeopleDays, 'full');
    expectPrinted(days.volumeEquivalentPeopleDays, printed.volumeEquivalentPeopleDays, 'volume');
    expectPrinted(days.potentialPeopleDays, printed.potentialPeopleDays, 'potential');
  });
});

describe('the Seattle table itself', () => {
  const tenths = RAIN.seattle.map((rainMm) => BigInt(Math.round(rainMm * 10)));

  it.each(RULES)('agrees with exact whole-number arithmetic under %s', (rule) => {
    const { columns } = reference.fullTable;
    reference.fullTable[rule].forEach((row, index) => {
      const exact = exactBalance(tenths, {
        capacityL: BigInt(capacitiesL[index] as number),
        demandLPerDay: 100n,
        isAfterSpillage: rule === 'yield-after-spillage',
      });
      for (const [name, value] of Object.entries(exact)) {
        expect(`${name} ${value}`).toBe(`${name} ${row[columns.indexOf(name)]}`);
      }
    });
  });
});

describe('sequent peak on the NOAA series', () => {
  it.each(reference.sequentPeak)(
    'gives the storages of $series at $demandLPerDay L/d, flush $firstFlushMm mm',
    (row) => {
      const found = sequentPeak({
        dailyInflowL: inflowOf(row.series, row.firstFlushMm),
        demandLPerDay: row.demandLPerDay,
      });
      expectPrinted(found.onePassL, row.onePassL, 'one pass');
      expectPrinted(found.cyclicL, row.cyclicL, 'two passes');
    },
  );

  it('gives the critical period of Seattle', () => {
    const { firstOn, lastOn, dayCount } = reference.criticalPeriod;
    const { criticalPeriod } = sequentPeak(seattle);
    expect(addDays(NOAA_STARTS_ON, criticalPeriod?.firstDayIndex ?? 0)).toBe(firstOn);
    expect(addDays(NOAA_STARTS_ON, criticalPeriod?.lastDayIndex ?? 0)).toBe(lastOn);
    expectPrinted(criticalPeriod?.dayCount ?? null, dayCount, 'days');
  });

  it.each(reference.zeroFailure)(
    '$rule with $capacityL L from $initialVolumeL L fails $deficitDayCount times',
    (row) => {
      const [found] = summariseStorage({
        ...seattle,
        capacitiesL: [row.capacityL],
        initialVolumeL: row.initialVolumeL,
        operatingRule: row.rule as NamedOperatingRule,
      });
      expectPrinted(found?.deficitDayCount ?? null, row.deficitDayCount, 'deficit days');
    },
  );
});
