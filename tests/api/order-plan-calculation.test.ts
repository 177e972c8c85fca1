import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  type OrderPlanResult,
  orderPlanResult,
} from '../../shared/contract/calculation-order-plan.ts';
import { checkOrderPlan, type OrderPlan, type OrderPlanInput } from '../../shared/index.ts';
import published from '../published/procurement/ordering.json' with { type: 'json' };
import {
  expectProblem,
  startTestService,
  type TestPerson,
  type TestService,
} from '../support/service.ts';

let service: TestService;
let person: TestPerson;

beforeAll(async () => {
  service = await startTestService();
  person = await service.person(['donor']);
});
afterAll(() => service.close());

const ask = (body: unknown) =>
  service.http
    .post('/v1/calculations/order-plan')
    .set(person.auth)
    .send(body as object);

async function planned(body: OrderPlanInput): Promise<OrderPlanResult> {
  const response = await ask(body);
  expect(response.status, response.text.slice(0, 2_000)).toBe(200);
  expect(response.headers['cache-control']).toBe('no-store');
  const plan = orderPlanResult.parse(response.body);
  expect(checkOrderPlan(body, plan as OrderPlan)).toEqual([]);
  return plan;
}

async function refused(body: unknown, code: string) {
  const problem = expectProblem(await ask(body), 422, code);
  return (problem.errors ?? []).map(({ pointer, rejectedValue }) => [pointer, rejectedValue]);
}

const { demand, orderCost, holdingCostPerUnit, leastCosts } = published.twelvePeriods;
const body = (offer: object = {}, item: object = {}): OrderPlanInput => ({
  periodCount: demand.length,
  items: [
    {
      id: 'item',
      demand,
      holdingCostPerUnit,
      offers: [{ supplierId: 'only', unitCost: 0, orderCost, ...offer }],
      ...item,
    },
  ],
  timeLimitS: 20,
});

describe('POST /v1/calculations/order-plan', () => {
  // wagner-whitin-1958 [memory]
  it('gives the lot sizes of Wagner and Whitin, proved', async () => {
    const plan = await planned(body());
    const least = Number(leastCosts.split(',').at(-1));
    expect(plan).toMatchObject({ status: 'optimal', totalCost: least, lowerBound: least });
    expect(plan.orders.map(({ placedInPeriod }) => placedInPeriod)).toEqual(
      published.twelvePeriods.orderPeriods,
    );
  });

  // worked out with another program
  it('goes through the solver of a worker for packs and limits', async () => {
    const row = published.variants.rows.find(({ name }) => name === 'packs of 50');
    const plan = await planned(body({ packSize: 50 }));
    expect(plan.totalCost).toBe(Number(row?.optimum));
    for (const { quantity, packCount } of plan.orders) expect(quantity).toBe(50 * (packCount ?? 0));
  });

  it('says which need cannot be met and why', async () => {
    const plan = await planned(body({ leadPeriods: 1 }));
    expect(plan).toMatchObject({
      status: 'infeasible',
      totalCost: null,
      lowerBound: null,
      orders: [],
      shortfalls: [{ itemId: 'item', period: 1, quantity: 69, reason: 'no-arrival-in-time' }],
    });
  });

  it('keeps to its time limit, and then says how far from the best it may be', async () => {
    const items = Array.from({ length: 15 }, (_, index) => ({
      id: `i${index}`,
      demand: Array.from({ length: 30 }, (__, t) => 5 + ((7 * t + 11 * index) % 23)),
      holdingCostPerUnit: 0.3 + index / 50,
      storageUse: { storageId: 'shed', perUnit: 1 },
      offers: [0, 1].map((at) => ({
        supplierId: `s${at}`,
        unitCost: 5 + at,
        orderCost: 90 - 40 * at,
        packSize: 7,
      })),
    }));
    const startedAtMs = performance.now();
    const plan = await planned({
      periodCount: 30,
      items,
      storage: [{ id: 'shed', capacityUnits: 300 }],
      timeLimitS: 1,
    });
    expect((performance.now() - startedAtMs) / 1000).toBeLessThan(15);
    expect(plan.status).toBe('feasible');
    expect(plan.lowerBound).toBeGreaterThan(0);
    expect(plan.lowerBound ?? Number.NaN).toBeLessThan(plan.totalCost ?? Number.NaN);
  });

  it('refuses by field, value and limit', async () => {
    expect(await refused({ ...body(), periodCount: 105 }, 'invalid-content')).toContainEqual([
      '/periodCount',
      105,
    ]);
    const unknown = await refused(body({ colour: 'red' }), 'invalid-content');
    expect(unknown.map(([pointer]) => pointer)).toEqual(['/items/0/offers/0/colour']);
    expect(await refused({ ...body(), periodCount: 11 }, 'out-of-range')).toEqual([
      ['/items/0/demand', 12],
    ]);
    expect(await refused(body({ minimumQuantity: 9, maximumQuantity: 8 }), 'out-of-range')).toEqual(
      [['/items/0/offers/0/maximumQuantity', 8]],
    );
    expect(await refused({ ...body(), timeLimitS: 600 }, 'invalid-content')).toEqual([
      ['/timeLimitS', 600],
    ]);
    const infinite = JSON.stringify(body()).replace('"unitCost":0', '"unitCost":1e999');
    const response = await service.http
      .post('/v1/calculations/order-plan')
      .set(person.auth)
      .set('content-type', 'application/json')
      .send(infinite);
    expectProblem(response, 422, 'invalid-content');
  });
});
