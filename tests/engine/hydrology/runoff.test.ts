import { describe, expect, it } from 'vitest';
import {
  annualRunoff,
  catchmentLPerMm,
  DEMAND_GUIDES,
  dailyDemand,
  dailyInflow,
  drySeasonStorage,
  firstFlushDepth,
  firstFlushDepthFromUsGallons,
  firstFlushVolume,
  ROOF_KIND_FACTS,
  ROOF_KINDS,
} from '../../../shared/index.ts';
import { SOURCES } from '../../../shared/sources.ts';
import { expectRefusal } from './refusal.ts';

const roof = { planAreaM2: 50, runoffCoefficient: 0.8 };

describe('runoff of roofs', () => {
  // EN 16941-1 yield, coefficients [memory]: 50 m² · 0.9 · 0.9 · 1000 mm = 40 500 L a year.
  it('gives the annual yield of the European standard', () => {
    const pitched = { planAreaM2: 50, runoffCoefficient: 0.9, gutterEfficiencyRatio: 0.9 };
    expect(annualRunoff([pitched], 1000)).toBeCloseTo(40_500, 8);
  });

  // Texas Manual on Rainwater Harvesting (2005): 1 inch on 1 square foot, printed as 0.62 gal; the
  // six digits follow from the definitions of inch and gallon.
  it('sheds 0.623377 US gallons for an inch on a square foot', () => {
    const squareFoot = { planAreaM2: 0.3048 ** 2, runoffCoefficient: 1 };
    expect(annualRunoff([squareFoot], 25.4) / 3.785411784).toBeCloseTo(0.623377, 6);
  });

  it('adds the roofs that drain to one tank', () => {
    const shed = { planAreaM2: 20, runoffCoefficient: 0.5, gutterEfficiencyRatio: 0.5 };
    expect(catchmentLPerMm([roof, shed])).toBe(45);
    expect([...dailyInflow({ roofs: [roof, shed], dailyRainMm: [0, 2, 10] })]).toEqual([
      0, 90, 450,
    ]);
  });

  it('takes the first flush from the rain of each wet day before the coefficient', () => {
    const inflow = dailyInflow({ roofs: [roof], dailyRainMm: [0, 0.5, 1, 3], firstFlushMm: 1 });
    expect([...inflow]).toEqual([0, 0, 0, 80]);
  });

  it('refuses roofs and rain outside their range, naming the roof and the day', () => {
    expectRefusal(() => catchmentLPerMm([]), 'out-of-range', 'roofs');
    const flat = { ...roof, planAreaM2: 0 };
    expectRefusal(() => catchmentLPerMm([roof, flat]), 'out-of-range', 'roofs[1].planAreaM2');
    const steep = { ...roof, runoffCoefficient: 1.01 };
    expectRefusal(() => catchmentLPerMm([steep]), 'out-of-range', 'roofs[0].runoffCoefficient');
    const gutter = { ...roof, gutterEfficiencyRatio: -0.1 };
    expectRefusal(
      () => catchmentLPerMm([gutter]),
      'out-of-range',
      'roofs[0].gutterEfficiencyRatio',
    );
    const inflowOf = (rain: number) => () => dailyInflow({ roofs: [roof], dailyRainMm: [1, rain] });
    expectRefusal(inflowOf(-1), 'out-of-range', 'dailyRainMm[1]');
    expectRefusal(inflowOf(Number.NaN), 'not-finite', 'dailyRainMm[1]');
    expectRefusal(inflowOf(null as unknown as number), 'not-finite', 'dailyRainMm[1]');
    const flushed = () => dailyInflow({ roofs: [roof], dailyRainMm: [1], firstFlushMm: -1 });
    expectRefusal(flushed, 'out-of-range', 'firstFlushMm');
    expectRefusal(() => annualRunoff([roof], -1), 'out-of-range', 'annualRainMm');
  });

  // University of Warwick, DRWH technology: catchments, Table 1.
  it('defaults within or below the printed range of every roof, and warns where it must', () => {
    for (const kind of ROOF_KINDS) {
      const { runoffCoefficient, printedRange, source } = ROOF_KIND_FACTS[kind];
      expect(runoffCoefficient).toBeLessThanOrEqual(printedRange.high ?? 1);
      expect(runoffCoefficient).toBeGreaterThanOrEqual(printedRange.low - 0.05);
      expect(SOURCES[source].seen).toBe('in-print');
    }
    expect(ROOF_KIND_FACTS['asbestos-cement'].caution).toContain('Never cut');
    expect(ROOF_KIND_FACTS.thatch.caution).toContain('not for drinking');
  });
});

describe('first flush', () => {
  it('diverts one litre per square metre and millimetre', () => {
    expect(firstFlushVolume(50, 1.5)).toBe(75);
    expectRefusal(() => firstFlushVolume(0, 1), 'out-of-range', 'planAreaM2');
    expectRefusal(() => firstFlushVolume(50, -1), 'out-of-range', 'firstFlushMm');
  });

  // Martinson and Thomas (2005): contamination is halved for each mm of rain flushed away.
  it('halves the contamination with each millimetre', () => {
    expect(firstFlushDepth(2000, 20)).toBeCloseTo(6.64386, 5);
    expect(firstFlushDepth(100, 5)).toBeCloseTo(4.32193, 5);
    expect(firstFlushDepth(20, 20)).toBe(0);
    expect(firstFlushDepth(5, 20)).toBe(0);
    expectRefusal(() => firstFlushDepth(5, 0), 'out-of-range', 'target');
    expectRefusal(() => firstFlushDepth(-5, 1), 'out-of-range', 'incoming');
  });

  it('converts one US gallon per 100 square feet to 0.407458 mm', () => {
    expect(firstFlushDepthFromUsGallons(1)).toBeCloseTo(0.407458, 6);
    expectRefusal(() => firstFlushDepthFromUsGallons(-1), 'out-of-range', 'gallonsPer100Ft2');
  });
});

describe('demand', () => {
  it('adds groups by days of use, and a demand of its own', () => {
    const family = { people: 5, litresPerPersonPerDay: 20 };
    const school = { people: 70, litresPerPersonPerDay: 3, daysPerWeek: 5 };
    expect(dailyDemand([family])).toBe(100);
    expect(dailyDemand([family, school], 10)).toBe(260);
    expect(dailyDemand([])).toBe(0);
  });

  it('refuses parts of people and weeks of eight days', () => {
    const use = { people: 5, litresPerPersonPerDay: 20 };
    expectRefusal(() => dailyDemand([{ ...use, people: 2.5 }]), 'out-of-range', 'uses[0].people');
    expectRefusal(() => dailyDemand([{ ...use, people: -1 }]), 'out-of-range', 'uses[0].people');
    const eight = [use, { ...use, daysPerWeek: 8 }];
    expectRefusal(() => dailyDemand(eight), 'out-of-range', 'uses[1].daysPerWeek');
    const negative = [{ ...use, litresPerPersonPerDay: -1 }];
    expectRefusal(() => dailyDemand(negative), 'out-of-range', 'uses[0].litresPerPersonPerDay');
    expectRefusal(() => dailyDemand([use], -1), 'out-of-range', 'ownDemandLPerDay');
  });

  // Gould and Nissen-Petersen (1999) [memory]: 5 people · 20 L · 81 dry days = 8100 L.
  it('bridges the dry season by the handbook rule', () => {
    expect(drySeasonStorage(100, 81)).toBe(8100);
    expectRefusal(() => drySeasonStorage(-1, 81), 'out-of-range', 'demandLPerDay');
  });

  // Sphere (2011), table of basic survival water needs: 2.5 to 3, 2 to 6, 3 to 6, together 7.5 to 15.
  it('prints guides whose parts add up to their total', () => {
    const of = (id: string) => DEMAND_GUIDES.find((guide) => guide.id === id);
    const parts = ['survival', 'basic-hygiene', 'basic-cooking'].map(of);
    const low = parts.reduce((sum, part) => sum + (part?.lowLPerPersonPerDay ?? Number.NaN), 0);
    const high = parts.reduce((sum, part) => sum + (part?.highLPerPersonPerDay ?? Number.NaN), 0);
    expect(of('basic-total')).toMatchObject({
      lowLPerPersonPerDay: low,
      highLPerPersonPerDay: high,
    });
  });
});
