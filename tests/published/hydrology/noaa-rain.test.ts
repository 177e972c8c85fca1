import { describe, expect, it } from 'vitest';
import {
  ANY_RAIN_FROM_MM,
  addDays,
  checkRainfallSeries,
  drySeasonStorage,
  longestDryRun,
  rainfallByMonth,
  rainfallByYear,
  wetDayCount,
} from '../../../shared/index.ts';
import {
  NOAA_FILES,
  NOAA_STARTS_ON,
  noaaFile,
  noaaRainMm,
  noaaRows,
  type Station,
} from './noaa-rain.ts';
import { expectPrinted } from './printed.ts';

// Facts of the NOAA series, counted apart from this engine (noaa-daily-vega).
const PRINTED = [
  {
    station: 'seattle',
    total: '4426.0',
    byYear: ['1226.0', '828.0', '1232.8', '1139.2'],
    wetDays: 623,
    greatest: ['55.9', '2015-03-15'],
    longestRainless: 48,
  },
  {
    station: 'new-york',
    total: '4178.6',
    byYear: ['1012.5', '902.7', '1289.8', '973.6'],
    wetDays: 470,
    greatest: ['118.9', '2014-04-30'],
    longestRainless: 18,
  },
] as const;

const seriesOf = (station: Station) => ({
  startsOn: NOAA_STARTS_ON,
  dailyRainMm: noaaRainMm(station),
});

describe('the NOAA daily series', () => {
  it('are the files that the reference results were computed on', () => {
    for (const name of ['seattle-weather.csv', 'weather.csv'] as const) {
      expect(noaaFile(name).sha256).toBe(NOAA_FILES[name]);
    }
  });

  it('have one row a day without gaps, and hold Seattle twice alike', () => {
    const seattle = noaaRows('seattle-weather.csv');
    expect(seattle).toHaveLength(1461);
    seattle.forEach(({ on }, day) => {
      expect(on).toBe(addDays(NOAA_STARTS_ON, day));
    });
    expect(noaaRows('weather.csv', 'Seattle')).toEqual(seattle);
    expect(noaaRows('weather.csv', 'New York').map((row) => row.on)).toEqual(
      seattle.map((row) => row.on),
    );
  });

  it.each(PRINTED)('give the printed facts of $station', (printed) => {
    const series = seriesOf(printed.station);
    const check = checkRainfallSeries(series);
    expectPrinted(check.totalRainMm, printed.total, 'total');
    expectPrinted(check.greatestDailyRainMm, printed.greatest[0], 'greatest day');
    expect(check.greatestOn).toBe(printed.greatest[1]);
    expect(check.endsOn).toBe('2015-12-31');
    const years = rainfallByYear(series);
    expect(years.map((year) => year.year)).toEqual([2012, 2013, 2014, 2015]);
    years.forEach((year, index) => {
      expectPrinted(year.rainMm, printed.byYear[index] as string, `${year.year}`);
    });
    expect(rainfallByMonth(series)).toHaveLength(48);
    expect(wetDayCount(series, ANY_RAIN_FROM_MM)).toBe(printed.wetDays);
    expect(longestDryRun(series, ANY_RAIN_FROM_MM).dayCount).toBe(printed.longestRainless);
  });

  // Gould and Nissen-Petersen (1999) [memory] with the longest Seattle run below 1 mm, 81 days.
  it('give 8100 L by the dry-season rule', () => {
    const { dayCount } = longestDryRun(seriesOf('seattle'));
    expect(dayCount).toBe(81);
    expect(drySeasonStorage(5 * 20, dayCount)).toBe(8100);
  });
});
