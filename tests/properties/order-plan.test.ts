import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  type OrderPlanResult,
  orderPlanInput,
  orderPlanResult,
} from '../../shared/contract/calculation-order-plan.ts';
import { checkOrderPlan, type OrderPlan, type OrderPlanInput } from '../../shared/index.ts';
import { plannedOrders } from '../../src/modules/calculations/use-cases.ts';
import { orderPlan } from '../../src/workers/tasks/order-plan.ts';
import { answered, oddly, PROPERTY_RUNS } from '../support/answered.ts';
import { orderPlanner } from '../support/order-planner.ts';
import { leastCostByStates, leastCostByTrial } from '../support/order-references.ts';

const timeout = 3_600_000;
const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });
const whole = (min: number, max: number) => fc.integer({ min, max });
const list = <T>(arbitrary: fc.Arbitrary<T>, length: number) =>
  fc.array(arbitrary, { minLength: length, maxLength: length });

/** Leaves out what is undefined, as a body of JSON does. */
const plain = <T>(value: T): T => JSON.parse(JSON.stringify(value)) as T;

// one item in whole quantities, small enough for a dynamic programme over all states
const single = whole(1, 5).chain((periodCount) =>
  fc
    .record({
      demand: list(whole(0, 4), periodCount),
      openingStock: maybe(whole(0, 3)),
      holdingCostPerUnit: whole(0, 3),
      shelfLifePeriods: maybe(whole(0, 3)),
      offers: fc.array(
        fc.record({
          unitCost: whole(2, 6),
          orderCost: fc.oneof(whole(0, 12), list(whole(0, 12), periodCount)),
          packSize: maybe(whole(2, 3)),
          minimumQuantity: maybe(whole(1, 4)),
          maximumQuantity: maybe(whole(6, 9)),
          leadPeriods: maybe(whole(0, 2)),
          priceBreak: maybe(fc.tuple(whole(2, 6), whole(0, 1))),
          breakRule: maybe(fc.constantFrom('all-units' as const, 'incremental' as const)),
          latestArrivalPeriod: maybe(whole(2, 5)),
          blockedArrivalPeriods: maybe(list(whole(1, 5), 1)),
          validFromPeriod: maybe(whole(1, 2)),
        }),
        { minLength: 1, maxLength: 2 },
      ),
    })
    .map(
      ({ offers, openingStock, ...item }): OrderPlanInput =>
        plain({
          periodCount,
          items: [
            {
              id: 'item',
              ...item,
              ...(item.shelfLifePeriods === undefined ? { openingStock } : {}),
              offers: offers.map(({ priceBreak, breakRule, ...offer }, index) => ({
                ...offer,
                supplierId: `s${index}`,
                ...(priceBreak === undefined
                  ? {}
                  : {
                      breakRule,
                      priceBreaks: [{ fromQuantity: priceBreak[0], unitCost: priceBreak[1] }],
                    }),
              })),
            },
          ],
        }),
    ),
);

// two items in packs that share money, trips and room, small enough to try every combination
const MOST_PACKS = 2;
const joint = whole(1, 3).chain((periodCount) =>
  fc
    .record({
      demands: list(list(whole(0, 4), periodCount), 2),
      unitCosts: list(whole(0, 4), 2),
      orderCosts: list(whole(0, 8), 2),
      packSizes: list(whole(2, 4), 2),
      holding: list(whole(0, 2), 2),
      leads: list(whole(0, 1), 2),
      openingStocks: list(whole(0, 4), 2),
      cash: maybe(list(whole(0, 40), periodCount)),
      doesCashCarryOver: fc.boolean(),
      trip: maybe(fc.tuple(whole(0, 9), whole(3, 12), maybe(whole(1, 2)))),
      room: maybe(whole(0, 8)),
    })
    .map((made): OrderPlanInput => {
      const { cash, trip, room, doesCashCarryOver } = made;
      return plain({
        periodCount,
        items: made.demands.map((demand, index) => ({
          id: `i${index}`,
          demand,
          openingStock: made.openingStocks[index] ?? 0,
          holdingCostPerUnit: made.holding[index] ?? 0,
          massKgPerUnit: 1 + index,
          ...(room === undefined ? {} : { storageUse: { storageId: 'shed', perUnit: 1 } }),
          offers: [
            {
              supplierId: 's',
              unitCost: made.unitCosts[index] ?? 0,
              orderCost: made.orderCosts[index] ?? 0,
              packSize: made.packSizes[index] ?? 1,
              maximumQuantity: MOST_PACKS * (made.packSizes[index] ?? 1),
              leadPeriods: made.leads[index] ?? 0,
              ...(trip === undefined ? {} : { tripGroupId: 'lorry' }),
            },
          ],
        })),
        ...(cash === undefined ? {} : { cashLimits: cash, doesCashCarryOver }),
        ...(trip === undefined
          ? {}
          : {
              trips: [
                {
                  id: 'lorry',
                  costPerTrip: trip[0],
                  payloadKg: trip[1],
                  maximumTripsPerPeriod: trip[2],
                },
              ],
            }),
        ...(room === undefined ? {} : { storage: [{ id: 'shed', capacityUnits: room }] }),
      });
    }),
);

// anything that the contract allows, with decimals
const decimal = (max: number) =>
  fc.oneof(whole(0, max), fc.double({ min: 0, max, noNaN: true }), fc.constant(0));
const anything = fc
  .record({
    periodCount: whole(1, 6),
    itemCount: whole(1, 4),
    seed: fc.infiniteStream(fc.tuple(decimal(40), decimal(9), whole(0, 99))),
    hasCash: fc.boolean(),
    hasTrips: fc.boolean(),
    hasRoom: fc.boolean(),
    hasKeep: fc.boolean(),
  })
  .map(({ periodCount, itemCount, seed, hasCash, hasTrips, hasRoom, hasKeep }) => {
    const next = () => seed.next().value ?? [0, 0, 0];
    const periods = <T>(make: () => T) => Array.from({ length: periodCount }, make);
    const amount = () => next()[0];
    const price = () => next()[1];
    const chance = (percent: number) => next()[2] < percent;
    const some = <T>(percent: number, make: () => T) => (chance(percent) ? make() : undefined);
    const items = Array.from({ length: itemCount }, (_, index) => ({
      id: `i${index}`,
      demand: periods(amount),
      openingStock: some(40, amount),
      holdingCostPerUnit: price() / 9,
      shelfLifePeriods: some(30, () => next()[2] % 4),
      massKgPerUnit: hasTrips ? 1 + price() : undefined,
      storageUse: hasRoom && chance(70) ? { storageId: 'shed', perUnit: 1 + price() } : undefined,
      offers: Array.from({ length: 1 + (next()[2] % 3) }, (__, at) => ({
        supplierId: `s${at}`,
        unitCost: price(),
        orderCost: chance(30) ? periods(price) : 10 * price(),
        packSize: some(30, () => 1 + (next()[2] % 30) / 8),
        minimumQuantity: some(20, amount),
        maximumQuantity: some(20, () => 45 + amount()),
        leadPeriods: some(30, () => next()[2] % 3),
        priceBreaks: some(20, () => [{ fromQuantity: 1 + amount(), unitCost: 0 }]),
        breakRule: chance(50) ? 'incremental' : 'all-units',
        tripGroupId: hasTrips && chance(70) ? 'lorry' : undefined,
        latestArrivalPeriod: some(10, () => 5),
        blockedArrivalPeriods: some(20, () => [1 + (next()[2] % 6)]),
      })),
    }));
    return plain({
      periodCount,
      items,
      cashLimits: hasCash ? periods(() => 20 * amount()) : undefined,
      doesCashCarryOver: chance(50),
      trips: hasTrips
        ? [{ id: 'lorry', costPerTrip: 5 * price(), payloadKg: 20 + amount() }]
        : undefined,
      storage: hasRoom ? [{ id: 'shed', capacityUnits: 30 * amount() }] : undefined,
      openReceipts: some(40, () => [
        { itemId: 'i0', arrivesInPeriod: 1, quantity: amount(), lastPeriod: some(50, () => 1) },
      ]),
      keep: hasKeep
        ? [{ itemId: 'i0', supplierId: 's0', placedInPeriod: 1, quantity: amount() }]
        : undefined,
      changePenalty: hasKeep ? { perOrder: price(), perUnit: price() } : undefined,
      timeLimitS: 20,
    });
  });

let plan: (input: OrderPlanInput) => OrderPlan;
beforeAll(async () => {
  ({ plan } = await orderPlanner());
});

function expectLeast(input: OrderPlanInput, least: number): void {
  const found = plan(input);
  expect(checkOrderPlan(input, found)).toEqual([]);
  if (least === Number.POSITIVE_INFINITY) {
    expect(found.status).toBe('infeasible');
    return;
  }
  expect(found.status).toBe('optimal');
  expect(found.totalCost).toBeCloseTo(least, 3);
}

describe('an order plan', () => {
  it('costs what a dynamic programme over all states finds, for one item', { timeout }, () => {
    let plans = 0;
    fc.assert(
      fc.property(single, (input) => {
        let least: number;
        try {
          plan({ ...input, timeLimitS: 60 });
          least = leastCostByStates(input);
        } catch (error) {
          // packs, minimum and maximum that allow no quantity
          expect(String(error)).toMatch(/maximumQuantity/);
          return;
        }
        if (least < Number.POSITIVE_INFINITY) plans += 1;
        expectLeast(input, least);
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 4) },
    );
    expect(plans).toBeGreaterThan(PROPERTY_RUNS / 20);
  });

  it('costs what trying every combination finds, for items that share', { timeout }, () => {
    let plans = 0;
    fc.assert(
      fc.property(joint, (input) => {
        const least = leastCostByTrial(input, MOST_PACKS);
        if (least < Number.POSITIVE_INFINITY) plans += 1;
        expectLeast(input, least);
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 4) },
    );
    expect(plans).toBeGreaterThan(PROPERTY_RUNS / 20);
  });

  it('can be made once the shortfalls are taken off', { timeout }, () => {
    fc.assert(
      fc.property(joint, (input) => {
        const { status, shortfalls } = plan(input);
        if (status !== 'infeasible') return;
        if (shortfalls.some(({ reason }) => reason === 'storage-overfull')) return;
        const items = input.items.map((item) => ({
          ...item,
          demand: item.demand.map((need, index) =>
            shortfalls
              .filter(({ itemId, period }) => itemId === item.id && period === index + 1)
              .reduce((left, { quantity }) => Math.max(0, left - quantity), need),
          ),
        }));
        const again = plan({ ...input, items });
        // needs of items alone come first; what they share may still not suffice
        const isAlone = shortfalls.every(({ reason }) => !SHARED.includes(reason));
        if (again.status === 'infeasible') {
          expect(isAlone).toBe(true);
          expect(
            again.shortfalls.every(
              ({ reason }) => SHARED.includes(reason) || reason === 'storage-overfull',
            ),
          ).toBe(true);
        } else expect(again.status).toBe('optimal');
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 8) },
    );
  });

  it('answers any body with a plan that holds, or says why not', { timeout }, async () => {
    const calculation = {
      input: orderPlanInput,
      output: orderPlanResult,
      run: async (body: Parameters<typeof orderPlan>[0]) =>
        plannedOrders(await orderPlan(body), 20),
    };
    const seen = new Map<string, number>();
    await fc.assert(
      fc.asyncProperty(oddly(anything), async (body) => {
        const answer = (await answered(calculation, body)) as OrderPlanResult | null;
        if (answer === null) return;
        seen.set(answer.status, (seen.get(answer.status) ?? 0) + 1);
        expect(checkOrderPlan(body as OrderPlanInput, answer as OrderPlan)).toEqual([]);
        if (answer.status === 'infeasible') {
          expect(answer.shortfalls.length).toBeGreaterThan(0);
          return;
        }
        expect(answer.lowerBound ?? Number.NaN).toBeLessThanOrEqual(
          (answer.totalCost ?? Number.NaN) + answer.changeCost + 1e-9,
        );
      }),
      { numRuns: Math.ceil(PROPERTY_RUNS / 2) },
    );
    expect([...seen.keys()]).toEqual(expect.arrayContaining(['optimal', 'infeasible']));
  });
});

const SHARED: readonly string[] = ['cash', 'trips', 'storage', 'joint-limits'];
