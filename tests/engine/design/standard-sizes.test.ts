import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { neededCapacity } from '../../../shared/design/needed-capacity.ts';
import { type DemandSite, sizeNeeds } from '../../../shared/design/size-needs.ts';
import {
  type CandidateSize,
  type SizedSites,
  standardSizes,
} from '../../../shared/design/standard-sizes.ts';
import { dailyInflow } from '../../../shared/hydrology/runoff.ts';
import { chooseStandardTank } from '../../../shared/hydrology/storage-sizing.ts';
import { noaaRainMm } from '../../published/hydrology/noaa-rain.ts';

/** Least tank cost of at most k sizes by looking at every set; sites that none serves left out. */
function byBruteForce(
  candidates: readonly CandidateSize[],
  sites: readonly SizedSites[],
  atMost: number,
): bigint | null {
  const served = sites.filter(({ leastCapacityL }) =>
    candidates.some(({ capacityL }) => capacityL >= leastCapacityL),
  );
  let least: bigint | null = null;
  for (let set = 1; set < 2 ** candidates.length; set += 1) {
    const chosen = candidates.filter((_, i) => (set >> i) % 2 === 1);
    if (chosen.length > atMost) continue;
    let cost: bigint | null = 0n;
    for (const { leastCapacityL, count } of served) {
      const fitting = chosen.filter(({ capacityL }) => capacityL >= leastCapacityL);
      if (fitting.length === 0) {
        cost = null;
        break;
      }
      const [cheapest] = fitting.toSorted((a, b) => (a.unitCost < b.unitCost ? -1 : 1));
      cost += (cheapest?.unitCost ?? 0n) * BigInt(count);
    }
    if (cost !== null && (least === null || cost < least)) least = cost;
  }
  return served.length === 0 ? null : least;
}

const candidatesOf = fc
  .array(
    fc.record({
      capacityL: fc.integer({ min: 1, max: 12 }),
      // not always dearer when larger
      unitCost: fc.bigInt({ min: 0n, max: 20n }),
    }),
    { minLength: 1, maxLength: 7 },
  )
  .map((sizes): CandidateSize[] => sizes.map((size, i) => ({ ...size, id: `c${i}` })));

const sitesOf = fc
  .array(
    fc.record({
      leastCapacityL: fc.integer({ min: 0, max: 14 }),
      count: fc.integer({ min: 1, max: 9 }),
    }),
    { minLength: 1, maxLength: 8 },
  )
  .map((sites): SizedSites[] => sites.map((site, i) => ({ ...site, id: `s${i}` })));

const numRuns = Number(process.env.HOOPWRIGHT_PROPERTY_RUNS ?? 2_000);

describe('standard sizes', () => {
  it('cost what the best of all sets costs, for every number of sizes', () => {
    fc.assert(
      fc.property(candidatesOf, sitesOf, fc.integer({ min: 1, max: 6 }), (candidates, sites, k) => {
        const found = standardSizes({ candidates, sites, maxSizeCount: k });
        if (found.choices.length === 0) {
          expect(byBruteForce(candidates, sites, k)).toBeNull();
          expect(found.unservedSiteIds).toEqual(sites.map(({ id }) => id));
          return;
        }
        for (const choice of found.choices) {
          const least = byBruteForce(candidates, sites, choice.allowedSizeCount);
          expect(choice.tankCost).toBe(least);
          expect(choice.sizes.length).toBeLessThanOrEqual(choice.allowedSizeCount);
          expect(choice.sizes.reduce((sum, { cost }) => sum + cost, 0n)).toBe(choice.tankCost);
          expect(choice.sizes.every(({ siteCount }) => siteCount > 0)).toBe(true);
        }
      }),
      { numRuns },
    );
  });

  it('are the best in total when every size costs something of its own', () => {
    fc.assert(
      fc.property(
        candidatesOf,
        sitesOf,
        fc.bigInt({ min: 0n, max: 60n }),
        (candidates, sites, costPerSize) => {
          const found = standardSizes({ candidates, sites, maxSizeCount: 6, costPerSize });
          if (found.best === null) return;
          let least: bigint | null = null;
          for (let k = 1; k <= Math.min(6, candidates.length); k += 1) {
            const tanks = byBruteForce(candidates, sites, k);
            if (tanks === null) continue;
            const total = tanks + costPerSize * BigInt(k);
            if (least === null || total < least) least = total;
          }
          expect(found.best.totalCost).toBe(least);
        },
      ),
      { numRuns: Math.ceil(numRuns / 4) },
    );
  });

  it('solve two hundred sizes for thousands of sites at once', () => {
    const candidates = Array.from({ length: 200 }, (_, i) => ({
      id: `c${i}`,
      capacityL: 500 + 100 * i,
      unitCost: BigInt(5_000 + 60 * i + i * i),
    }));
    const sites = Array.from({ length: 5_000 }, (_, i) => ({
      id: `s${i}`,
      count: 1,
      leastCapacityL: 500 + ((i * 7_919) % 19_900),
    }));
    const found = standardSizes({ candidates, sites, maxSizeCount: 6 });
    expect(found.choices.map(({ sizes }) => sizes.length)).toEqual([1, 2, 3, 4, 5, 6]);
    for (const { saving } of found.choices.slice(1)) expect(saving).toBeGreaterThan(0n);
  });

  it('name what they refuse', () => {
    const candidates = [{ id: 'a', capacityL: 5, unitCost: 1n }];
    const sites = [{ id: 's', count: 1, leastCapacityL: 3 }];
    const refusal = (part: object) => () =>
      standardSizes({ candidates, sites, maxSizeCount: 2, ...part });
    expect(refusal({ candidates: [] })).toThrow('candidates = 0: must hold at least one size');
    expect(refusal({ candidates: [...candidates, ...candidates] })).toThrow('candidates[1].id = a');
    expect(refusal({ maxSizeCount: 7 })).toThrow('maxSizeCount = 7: must lie between 1 and 6');
    expect(refusal({ maxSizeCount: 1.5 })).toThrow('must be a whole number');
    expect(refusal({ sites: [{ ...sites[0], count: 0.5 }] })).toThrow('sites[0].count = 0.5');
    expect(refusal({ sites: [{ ...sites[0], leastCapacityL: Number.NaN }] })).toThrow(
      'sites[0].leastCapacityL = NaN',
    );
    expect(refusal({ candidates: [{ ...candidates[0], unitCost: -1n }] })).toThrow('unitCost = -1');
  });
});

const rain = {
  dailyRainMm: noaaRainMm('seattle'),
  firstFlushMm: 1,
  operatingRule: 'yield-after-spillage' as const,
};

describe('the size that a site needs', () => {
  it('is the one that the choice of a standard tank takes, looking at every tank', () => {
    const capacitiesL = [800, 1_500, 2_200, 3_000, 4_000, 5_500, 7_000];
    const sites: DemandSite[] = [];
    for (const roofAreaM2 of [15, 40, 90]) {
      for (const demandLPerDay of [0, 20, 60, 150, 400]) {
        const id = `${roofAreaM2}-${demandLPerDay}`;
        sites.push({ id, roofAreaM2, runoffCoefficient: 0.8, demandLPerDay });
      }
    }
    const seen = new Set<string>();
    for (const targetReliabilityRatio of [0.6, 0.9]) {
      for (const reliabilityMeasure of ['volumetric', 'days-met'] as const) {
        const needs = sizeNeeds(
          sites,
          { ...rain, targetReliabilityRatio, reliabilityMeasure },
          capacitiesL,
        );
        for (const site of sites) {
          const { id, demandLPerDay, roofAreaM2: planAreaM2, runoffCoefficient } = site;
          const choice = chooseStandardTank({
            dailyInflowL: dailyInflow({ roofs: [{ planAreaM2, runoffCoefficient }], ...rain }),
            demandLPerDay,
            operatingRule: rain.operatingRule,
            standardTanks: capacitiesL.map((capacityL) => ({ id: `${capacityL}`, capacityL })),
            targetReliabilityRatio,
            reliabilityMeasure,
          });
          const need = needs.get(id);
          expect(need?.capacityL ?? null, id).toBe(choice.tank?.capacityL ?? null);
          expect(need?.refusal ?? null, id).toBe(choice.status === 'chosen' ? null : choice.status);
          seen.add(choice.status);
        }
      }
    }
    expect([...seen].sort()).toEqual(['chosen', 'roof-too-small', 'target-not-reachable']);
  });

  it('is refused for more different sites than can be looked at', () => {
    const sites = Array.from({ length: 3 }, (_, i) => ({
      id: `${i}`,
      roofAreaM2: 10 + i,
      runoffCoefficient: 0.8,
      demandLPerDay: 10,
    }));
    const long = {
      ...rain,
      targetReliabilityRatio: 0.9,
      dailyRainMm: new Array(25_000_000).fill(0),
    };
    expect(() => sizeNeeds(sites, long, [1_000])).toThrow('sites = 3');
  });
});

describe('the capacity that a roof and a demand need', () => {
  // Seattle, 50 m², 0.8, 100 L a day, yield after spillage, computed apart from the engine in exact
  // arithmetic: 5,000 L give 0.848433, 10,000 L 0.971526
  const need = {
    roofAreaM2: 50,
    runoffCoefficient: 0.8,
    dailyRainMm: rain.dailyRainMm,
    demandLPerDay: 100,
    operatingRule: 'yield-after-spillage' as const,
  };

  it('lies between the tanks of the computed table', () => {
    const found = neededCapacity({ ...need, targetReliabilityRatio: 0.9 });
    expect(found.status).toBe('found');
    expect(found.capacityL).toBeGreaterThan(5_000);
    expect(found.capacityL).toBeLessThan(10_000);
    expect(
      neededCapacity({ ...need, targetReliabilityRatio: 0.84843 }).capacityL,
    ).toBeLessThanOrEqual(5_000);
    expect(neededCapacity({ ...need, targetReliabilityRatio: 0.84844 }).capacityL).toBeGreaterThan(
      5_000,
    );
  });

  it('is none when the roof is too small, or no tank of the engine large enough', () => {
    // 177,040 L flow in over 1,461 days
    expect(
      neededCapacity({ ...need, demandLPerDay: 200, targetReliabilityRatio: 0.9 }).status,
    ).toBe('roof-too-small');
    expect(neededCapacity({ ...need, demandLPerDay: 120, targetReliabilityRatio: 1 }).status).toBe(
      'target-not-reachable',
    );
  });
});
