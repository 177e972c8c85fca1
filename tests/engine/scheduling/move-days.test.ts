import { describe, expect, it } from 'vitest';
import {
  BAMBOO_BAND_MORTAR_STAGES,
  greatCircleKm,
  moveDays,
  seasonStages,
} from '../../../shared/index.ts';

const moving = { detourRatio: 1.4, speedKmPerH: 20, packingHours: 3 };
const at = (latDeg: number, lonDeg: number) => ({ latDeg, lonDeg });

describe('greatCircleKm', () => {
  // Nashville to Los Angeles airports, the example that haversine articles share [memory]: 2,886.4 km.
  it('gives the way between two airports', () => {
    expect(greatCircleKm(at(36.12, -86.67), at(33.94, -118.4))).toBeCloseTo(2886.45, 1);
  });

  // One minute of latitude is a nautical mile, 1.852 km, within half a percent of the ellipsoid.
  it('gives a nautical mile for a minute of latitude, and nothing for no way', () => {
    expect(Math.abs(greatCircleKm(at(0, 0), at(1 / 60, 0)) / 1.852 - 1)).toBeLessThan(0.005);
    expect(greatCircleKm(at(5, 5), at(5, 5))).toBe(0);
  });

  it('refuses a place off the globe', () => {
    expect(() => greatCircleKm(at(91, 0), at(0, 0))).toThrow(/latDeg/);
  });
});

describe('moveDays', () => {
  it('takes a day for 20 km, two for 60 km, and one where a place is not known', () => {
    const north = (km: number) => at(km / 111.195, 0);
    // 20 km: 28 km of road in 1.4 h and 3 h of packing; 60 km: 84 km in 4.2 h and 3 h, just a day.
    expect(moveDays(north(0), north(20), moving)).toBe(1);
    expect(moveDays(north(0), north(60), moving)).toBe(1);
    expect(moveDays(north(0), north(75), moving)).toBe(2);
    expect(moveDays(null, north(60), moving)).toBe(1);
    expect(moveDays(north(0), north(75), { ...moving, packingHours: 0 })).toBe(1);
  });

  it('takes as long back as there', () => {
    expect(moveDays(at(1, 2), at(0, 1), moving)).toBe(moveDays(at(0, 1), at(1, 2), moving));
  });

  it('names the field that is out of range', () => {
    expect(() => moveDays(null, null, { ...moving, speedKmPerH: 0 })).toThrow(/speedKmPerH/);
  });
});

describe('seasonStages', () => {
  const stages = seasonStages(BAMBOO_BAND_MORTAR_STAGES, 2, new Map());
  const stage = (code: string) => stages.find((one) => one.code === code);

  it('leaves days for the release of a hold point, and no less than the wait of the template', () => {
    expect(stage('wall-boards')?.after).toEqual([
      { stageCode: 'frame', minimumWaitDays: 2, maximumWaitDays: null },
    ]);
    expect(stage('outside-paint')?.after).toEqual([
      { stageCode: 'damp-curing', minimumWaitDays: 14, maximumWaitDays: null },
    ]);
  });

  it('keeps a coat that must follow within days, and what rain blocks', () => {
    expect(stage('outside-final-coat')).toMatchObject({
      isBlockedByRain: true,
      after: [{ stageCode: 'outside-first-coat', minimumWaitDays: 1, maximumWaitDays: 3 }],
    });
    expect(stage('inside-first-coat')?.isBlockedByRain).toBe(false);
  });

  it('names equipment that the programme has not', () => {
    const [first] = BAMBOO_BAND_MORTAR_STAGES;
    if (first === undefined) throw new Error('a template has a stage');
    const template = [{ ...first, equipment: [{ equipmentCode: 'MIXER', units: 1 }] }];
    expect(() => seasonStages(template, 1, new Map())).toThrow(/equipment/);
    expect(seasonStages(template, 1, new Map([['MIXER', 'e1']]))[0]?.equipment).toEqual([
      { equipmentId: 'e1', units: 1 },
    ]);
  });
});
