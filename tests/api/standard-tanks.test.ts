import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { StandardSizesResult } from '../../shared/contract/calculation-standard-sizes.ts';
import type { TankProposalResult } from '../../shared/contract/calculation-tank-proposal.ts';
import type { TankCheck } from '../../shared/design/check-tank.ts';
import { noaaRainMm } from '../published/hydrology/noaa-rain.ts';
import { proposal5000L, worked5000L } from '../support/calculation-bodies.ts';
import { startTestService, type TestPerson, type TestService } from '../support/service.ts';

let service: TestService;
let person: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  person = await service.person(['coordinator']);
});
afterAll(() => service.close());

async function answer<T>(name: string, body: object): Promise<T> {
  const response = await service.http.post(`/v1/calculations/${name}`).set(person.auth).send(body);
  expect(response.status, response.text.slice(0, 2_000)).toBe(200);
  return response.body as T;
}

const eur = (cents: number) => ({ amount: (cents / 100).toFixed(2), currency: 'EUR' });

// invented sizes and prices; one is dearer than the next larger, and no best set can hold it
const SIZES = [
  [1_000, 118_00],
  [1_500, 131_00],
  [2_000, 152_00],
  [2_500, 171_00],
  [3_000, 205_00],
  [3_500, 199_00],
  [4_000, 226_00],
  [5_000, 262_00],
  [6_000, 301_00],
  [8_000, 388_00],
  [10_000, 497_00],
  [14_000, 702_00],
] as const;

/** 120 invented sites: roofs of 18 to 96 m², 2 to 11 people at 8 L a day. */
const SITES = Array.from({ length: 120 }, (_, index) => ({
  kind: 'demand' as const,
  id: `site ${index + 1}`,
  roofAreaM2: 18 + ((index * 37) % 79),
  runoffCoefficient: 0.8,
  demandLPerDay: 8 * (2 + ((index * 7) % 10)),
}));

const dailyRainMm = noaaRainMm('seattle');
const TARGET_RATIO = 0.8;

/** Share of the demand that a tank supplies: rain in, spill, then draw, from empty. */
function suppliedRatio(site: (typeof SITES)[number], capacityL: number): number {
  let storedL = 0;
  let suppliedL = 0;
  for (const rainMm of dailyRainMm) {
    const drawnL = Math.min(site.demandLPerDay, storedL);
    suppliedL += drawnL;
    const inL = rainMm * site.roofAreaM2 * site.runoffCoefficient;
    storedL = Math.min(storedL + inL - drawnL, capacityL - drawnL);
  }
  return suppliedL / (site.demandLPerDay * dailyRainMm.length);
}

function* setsOf(count: number, from = 0): Generator<number[]> {
  if (count === 0) {
    yield [];
    return;
  }
  for (let first = from; first <= SIZES.length - count; first += 1) {
    for (const rest of setsOf(count - 1, first + 1)) yield [first, ...rest];
  }
}

describe('a programme of 120 sites', () => {
  const needed = SITES.map((site) =>
    SIZES.findIndex(([capacityL]) => suppliedRatio(site, capacityL) >= TARGET_RATIO),
  );
  const servable = needed.filter((size) => size >= 0);

  /** Least cost in cents of all sets of exactly so many sizes, each looked at. */
  function leastCents(count: number): { cents: number; tried: number } {
    let cents = Number.POSITIVE_INFINITY;
    let tried = 0;
    for (const set of setsOf(count)) {
      tried += 1;
      let sum = 0;
      for (const least of servable) {
        const fitting = set.filter((size) => size >= least).map((size) => SIZES[size]?.[1] ?? 0);
        sum += fitting.length === 0 ? Number.POSITIVE_INFINITY : Math.min(...fitting);
      }
      cents = Math.min(cents, sum);
    }
    return { cents, tried };
  }

  const ask = (maxSizeCount: number) =>
    answer<StandardSizesResult>('standard-sizes', {
      currency: 'EUR',
      candidates: SIZES.map(([capacityL, cents]) => ({
        id: `${capacityL} L`,
        capacityL,
        unitCost: eur(cents),
      })),
      sites: SITES,
      rain: {
        dailyRainMm,
        operatingRule: 'yield-after-spillage',
        targetReliabilityRatio: TARGET_RATIO,
      },
      maxSizeCount,
    });

  it('gets three sizes that no other three undercut, of every set of its sites', async () => {
    const found = await ask(3);
    const { cents, tried } = leastCents(3);
    // 12 · 11 · 10 / 6
    expect(tried).toBe(220);
    expect(servable.length).toBeGreaterThan(90);
    expect(new Set(servable).size).toBe(6);
    expect(found.best?.sizes).toHaveLength(3);
    expect(found.best?.tankCost).toEqual(eur(cents));
    expect(found.unserved.map(({ siteId }) => siteId)).toEqual(
      SITES.filter((_, index) => (needed[index] ?? -1) < 0).map(({ id }) => id),
    );
    for (const { siteId, leastSizeId } of found.assignments) {
      const index = SITES.findIndex(({ id }) => id === siteId);
      // the smallest that serves, or the larger one that undercuts it
      expect(leastSizeId).toBe(`${SIZES[needed[index] ?? -1]?.[0]} L`);
    }
    expect(found.dominatedSizeIds).toEqual(['3000 L']);
    expect(found.best?.sizes.reduce((sum, { siteCount }) => sum + siteCount, 0)).toBe(
      servable.length,
    );
  });

  it('is told what each further size saves', async () => {
    const { choices } = await ask(6);
    const least = choices.map((_, index) => leastCents(index + 1).cents);
    expect(choices.map(({ tankCost }) => tankCost)).toEqual(least.map(eur));
    expect(choices.map(({ saving }) => saving)).toEqual([
      null,
      ...least.slice(1).map((cents, index) => eur((least[index] ?? 0) - cents)),
    ]);
    expect(choices).toHaveLength(6);
    for (const { saving } of choices.slice(1, 5)) expect(Number(saving?.amount)).toBeGreaterThan(0);
    // the sites need six different tanks, one of which the next larger undercuts
    expect(choices[5]?.saving).toEqual(eur(0));
  });
});

// worked example of 5,000 litres, 25 x 2 mm: computed by a script apart from the engine
describe('the worked tank of 5,000 litres', () => {
  const grossMPa = (check: TankCheck) =>
    Math.max(...check.bands.map(({ grossStressPa }) => grossStressPa)) / 1e6;
  const grossOutcome = (check: TankCheck) =>
    check.checks.find(({ id }) => id === 'band-gross-stress')?.outcome;
  const checked = (spacing: 'even' | 'equal-load') =>
    answer<TankCheck>('tank-check', {
      ...worked5000L,
      bands: { ...worked5000L.bands, spacing, count: 4 },
    });

  it('fails with even spacing, passes with equal loads, and the proposal costs no more', async () => {
    const even = await checked('even');
    expect(grossMPa(even).toFixed(1)).toBe('132.1');
    expect(grossOutcome(even)).toBe('fail');
    expect(even.outcome).toBe('fail');

    const equal = await checked('equal-load');
    expect(grossMPa(equal).toFixed(2)).toBe('75.49');
    expect(grossOutcome(equal)).toBe('pass');
    expect(equal.checks.filter(({ outcome }) => outcome === 'fail')).toEqual([]);

    const at = (only: number) => ({ from: only, to: only, step: 0.1 });
    const onItsShape = await answer<TankProposalResult>('tank-proposal', {
      ...proposal5000L,
      insideDiameterM: at(1.9),
      waterDepthM: at(1.8),
      wallThicknessM: at(0.055),
      bandSections: proposal5000L.bandSections.filter(
        ({ widthMm, thicknessMm }) => widthMm === 25 && thicknessMm === 2,
      ),
    });
    const sameWithEqualLoads = onItsShape.neighbours.find(
      ({ change }) => change === 'equal-load-spacing',
    );
    const cost = Number(sameWithEqualLoads?.cost?.amount);
    expect(sameWithEqualLoads?.design?.bands).toMatchObject({ spacing: 'equal-load', count: 4 });
    expect(cost).toBeGreaterThan(0);
    const proposed = await answer<TankProposalResult>('tank-proposal', proposal5000L);
    for (const one of [onItsShape, proposed]) {
      expect(one.status).toBe('proposed');
      expect(one.check?.outcome).toBe('pass');
      expect(one.check?.maxUtilisationRatio).toBeLessThanOrEqual(0.9);
      expect(Number(one.cost?.total.amount)).toBeLessThanOrEqual(cost);
      expect(one.usableCapacityL).toBeGreaterThanOrEqual(5_000);
    }
  });
});
