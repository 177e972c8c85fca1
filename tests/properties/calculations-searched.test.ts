import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type CuttingPlanResult,
  cuttingPlanInput,
  cuttingPlanResult,
} from '../../shared/contract/calculation-cutting-plan.ts';
import {
  type SeasonPlanResult,
  seasonPlanInput,
  seasonPlanResult,
} from '../../shared/contract/calculation-season-plan.ts';
import {
  type StandardSizesResult,
  standardSizesInput,
  standardSizesResult,
} from '../../shared/contract/calculation-standard-sizes.ts';
import {
  type TankProposalResult,
  tankProposalInput,
  tankProposalResult,
} from '../../shared/contract/calculation-tank-proposal.ts';
import { checkSchedule } from '../../shared/scheduling/check-schedule.ts';
import { SOIL_CLASSES } from '../../shared/structure/soil-bearing.ts';
import { plannedCuts } from '../../src/modules/calculations/use-cases.ts';
import { cuttingPlan } from '../../src/workers/tasks/cutting-plan.ts';
import { seasonPlan } from '../../src/workers/tasks/season-plan.ts';
import { chosenSizes } from '../../src/workers/tasks/standard-sizes.ts';
import { tankProposal } from '../../src/workers/tasks/tank-proposal.ts';
import { answered, oddly, PROPERTY_RUNS } from '../support/answered.ts';
import { proposal5000L } from '../support/calculation-bodies.ts';
import { smallProjects } from '../support/small-projects.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });
const timeout = 1_200_000;

const rain = fc.array(fc.oneof(fc.constant(0), between(0, 120)), { minLength: 20, maxLength: 60 });
const rule = fc.constantFrom('yield-after-spillage', 'yield-before-spillage');
/** One to three values from a first one on. */
const range = (min: number, max: number, step: number) =>
  fc
    .tuple(between(min, max), fc.constantFrom(0, 0, 1, 1, 2))
    .map(([from, steps]) => ({ from, to: from + steps * step, step }));

const proposals = fc.record({
  storage: fc.oneof(
    fc.record({ kind: fc.constant('capacity'), leastCapacityL: between(500, 9_000) }),
    fc.record({
      kind: fc.constant('demand'),
      roofAreaM2: between(5, 120),
      runoffCoefficient: between(0.3, 1),
      dailyRainMm: rain,
      demandLPerDay: between(0, 300),
      operatingRule: rule,
      targetReliabilityRatio: between(0, 1),
    }),
  ),
  bandSections: fc.constantFrom(
    proposal5000L.bandSections,
    proposal5000L.bandSections.slice(0, 1),
    proposal5000L.bandSections.map((band) => ({ ...band, jointEfficiencyRatio: 0.5 })),
  ),
  prices: fc.constant(proposal5000L.prices.slice(0, 3)),
  currency: fc.constant('EUR'),
  tankCount: fc.integer({ min: 1, max: 50 }),
  maxUtilisationRatio: maybe(between(0.3, 1)),
  unusableDepthM: maybe(between(0, 0.2)),
  insideDiameterM: range(0.9, 2.4, 0.2),
  waterDepthM: range(0.8, 1.6, 0.2),
  wallThicknessM: range(0.03, 0.06, 0.015),
  soilClass: maybe(fc.constantFrom(...SOIL_CLASSES)),
  windSpeedMPerS: maybe(between(0, 60)),
  seismic: maybe(
    fc.record({ impulsiveCoefficient: between(0, 0.5), convectiveCoefficient: between(0, 0.2) }),
  ),
});

const money = (cents: number) => ({ amount: (cents / 100).toFixed(2), currency: 'EUR' });

const sizes = fc.record({
  currency: fc.constant('EUR'),
  candidates: fc
    .array(fc.tuple(fc.integer({ min: 200, max: 20_000 }), fc.integer({ min: 0, max: 90_000 })), {
      minLength: 1,
      maxLength: 8,
    })
    .map((list) =>
      list.map(([capacityL, cents], i) => ({ id: `c${i}`, capacityL, unitCost: money(cents) })),
    ),
  sites: fc
    .array(
      fc.oneof(
        fc.record({ kind: fc.constant('capacity'), leastCapacityL: between(0, 22_000) }),
        fc.record({
          kind: fc.constant('demand'),
          roofAreaM2: between(5, 120),
          runoffCoefficient: between(0.3, 1),
          demandLPerDay: between(0, 300),
        }),
      ),
      { minLength: 1, maxLength: 8 },
    )
    .map((list) => list.map((site, i) => ({ ...site, id: `s${i}`, count: 1 + (i % 3) }))),
  rain: fc.record({
    dailyRainMm: rain,
    operatingRule: rule,
    targetReliabilityRatio: between(0, 1),
  }),
  maxSizeCount: fc.integer({ min: 1, max: 6 }),
  costPerSize: maybe(fc.integer({ min: 0, max: 100_000 }).map(money)),
});

const cuts = fc.record({
  stock: fc
    .array(
      fc.record({
        lengthMm: fc.integer({ min: 20, max: 120 }),
        availableCount: maybe(fc.integer({ min: 0, max: 40 })),
      }),
      { minLength: 1, maxLength: 3 },
    )
    .chain((list) =>
      fc.boolean().map((hasCost) =>
        list.map((one, i) => ({
          ...one,
          id: `k${i}`,
          ...(hasCost ? { cost: 1 + i * 0.25 } : {}),
        })),
      ),
    ),
  kerfMm: maybe(fc.constantFrom(0, 0.5, 3)),
  pieces: fc
    .array(
      fc.record({
        lengthMm: fc.integer({ min: 5, max: 60 }),
        count: fc.integer({ min: 1, max: 20 }),
      }),
      { minLength: 1, maxLength: 5 },
    )
    .map((list) => list.map((piece, i) => ({ ...piece, id: `p${i}` }))),
  timeLimitS: fc.constant(2),
  usableOffcutMm: maybe(fc.integer({ min: 0, max: 40 })),
});

describe('whatever is asked of a search, an answer is finite and carries its checks', () => {
  it('tank-proposal', { timeout }, async () => {
    const calculation = { input: tankProposalInput, output: tankProposalResult, run: tankProposal };
    const seen = new Map<string, number>();
    await fc.assert(
      fc.asyncProperty(oddly(proposals), async (body) => {
        const answer = (await answered(calculation, body)) as TankProposalResult | null;
        if (answer === null) return;
        seen.set(answer.status, (seen.get(answer.status) ?? 0) + 1);
        expect(answer.cautions.length).toBeGreaterThan(0);
        if (answer.status !== 'proposed') {
          expect([answer.design, answer.check, answer.cost]).toEqual([null, null, null]);
          return;
        }
        const limit = (body as { maxUtilisationRatio?: number }).maxUtilisationRatio ?? 0.9;
        expect(answer.check?.checks.length).toBeGreaterThan(15);
        expect(answer.check?.maxUtilisationRatio).toBeLessThanOrEqual(limit);
        expect(answer.check?.outcome).not.toBe('fail');
        expect(answer.usableCapacityL).toBeGreaterThanOrEqual((answer.neededCapacityL ?? 0) - 1e-5);
        for (const { outcome, stoppedBy, costDifference, change } of answer.neighbours) {
          if (outcome === 'rejected') expect(stoppedBy.length, change).toBeGreaterThan(0);
          else expect(Number(costDifference?.amount), change).toBeGreaterThan(-0.5);
        }
      }),
      { numRuns: PROPERTY_RUNS },
    );
    expect([...seen.keys()]).toEqual(expect.arrayContaining(['proposed', 'no-design']));
  });

  it('standard-sizes', { timeout }, async () => {
    const calculation = {
      input: standardSizesInput,
      output: standardSizesResult,
      run: chosenSizes,
    };
    let answerCount = 0;
    await fc.assert(
      fc.asyncProperty(oddly(sizes), async (body) => {
        const answer = (await answered(calculation, body)) as StandardSizesResult | null;
        if (answer === null) return;
        answerCount += 1;
        expect(answer.cautions.length).toBeGreaterThan(0);
        const { sites } = body as { sites: { id: string }[] };
        expect(answer.assignments.length + answer.unserved.length).toBe(sites.length);
        expect(answer.best === null).toBe(answer.assignments.length === 0);
      }),
      { numRuns: PROPERTY_RUNS },
    );
    expect(answerCount).toBeGreaterThan(PROPERTY_RUNS / 3);
  });

  it('cutting-plan', { timeout }, async () => {
    const calculation = {
      input: cuttingPlanInput,
      output: cuttingPlanResult,
      run: async (body: Parameters<typeof cuttingPlan>[0]) =>
        plannedCuts(await cuttingPlan(body), 2),
    };
    const seen = new Map<string, number>();
    await fc.assert(
      fc.asyncProperty(oddly(cuts), async (body) => {
        const answer = (await answered(calculation, body)) as CuttingPlanResult | null;
        if (answer === null) return;
        seen.set(answer.status, (seen.get(answer.status) ?? 0) + 1);
        if (answer.status === 'infeasible') {
          expect(answer.reason?.length).toBeGreaterThan(0);
          return;
        }
        const { pieces } = body as { pieces: { id: string; count: number }[] };
        const cut = new Map<string, number>();
        for (const pattern of answer.patterns) {
          for (const { id, count } of pattern.pieces) {
            cut.set(id, (cut.get(id) ?? 0) + count * pattern.times);
          }
        }
        expect(Object.fromEntries(cut)).toEqual(
          Object.fromEntries(pieces.map(({ id, count }) => [id, count])),
        );
        expect(answer.lowerBoundCount).toBeLessThanOrEqual(answer.stockCount);
        if (answer.status === 'feasible') expect(answer.lowerBound).toBeGreaterThan(0);
      }),
      { numRuns: PROPERTY_RUNS },
    );
    expect([...seen.keys()].sort()).toEqual(expect.arrayContaining(['infeasible', 'optimal']));
  });

  it('season-plan', { timeout }, async () => {
    const bodies = fc
      .record({ project: smallProjects({ most: 10 }), seed: fc.nat(1_000) })
      .map(({ project: { resources, activities }, seed }) => ({
        resources: [...resources],
        activities: activities.map(({ id, durationDays, requires, after }) => ({
          id,
          durationDays,
          requires: requires.filter(({ count }) => count > 0),
          after: after.filter(
            ({ activityId }, at) => after.findIndex((one) => one.activityId === activityId) === at,
          ),
        })),
        effort: { schedules: 50, seed },
      }));
    const calculation = { input: seasonPlanInput, output: seasonPlanResult, run: seasonPlan };
    const seen = new Map<string, number>();
    await fc.assert(
      fc.asyncProperty(oddly(bodies), async (body) => {
        const answer = (await answered(calculation, body)) as SeasonPlanResult | null;
        if (answer === null) return;
        seen.set(answer.status, (seen.get(answer.status) ?? 0) + 1);
        const { makespanDays, lowerBoundDays, starts, status, bounds } = answer;
        const check = checkSchedule(seasonPlanInput.parse(body), starts);
        expect(check).toEqual({ faults: [], finishedDay: makespanDays, tardinessDays: 0 });
        expect(makespanDays).toBeGreaterThanOrEqual(lowerBoundDays);
        expect(status === 'optimal').toBe(makespanDays === lowerBoundDays);
        expect(Math.max(...Object.values(bounds))).toBe(lowerBoundDays);
      }),
      { numRuns: PROPERTY_RUNS },
    );
    expect([...seen.keys()].sort()).toEqual(['feasible', 'optimal']);
  });
});
