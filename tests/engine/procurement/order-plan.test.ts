import { beforeAll, describe, expect, it, vi } from 'vitest';
import {
  checkOrderPlan,
  type OrderPlan,
  type OrderPlanInput,
  type PlanItemInput,
  type PlanOffer,
  planOrders,
  type SolveMilp,
} from '../../../shared/index.ts';
import { orderPlanner } from '../../support/order-planner.ts';

vi.setConfig({ testTimeout: 240_000 });

let plan: (input: OrderPlanInput) => OrderPlan;
beforeAll(async () => {
  ({ plan } = await orderPlanner());
});

const offer = (more: Partial<PlanOffer> = {}): PlanOffer => ({
  supplierId: 'S',
  unitCost: 1,
  orderCost: 10,
  ...more,
});
const item = (id: string, demand: number[], more: Partial<PlanItemInput> = {}): PlanItemInput => ({
  id,
  demand,
  holdingCostPerUnit: 1,
  offers: [offer()],
  ...more,
});
const input = (items: PlanItemInput[], more: Partial<OrderPlanInput> = {}): OrderPlanInput => ({
  periodCount: items[0]?.demand.length ?? 0,
  items,
  ...more,
});

function planned(problem: OrderPlanInput): OrderPlan {
  const found = plan(problem);
  expect(checkOrderPlan(problem, found)).toEqual([]);
  return found;
}
const orderLines = ({ orders }: OrderPlan) =>
  orders.map((o) => [o.itemId, o.supplierId, o.placedInPeriod, o.arrivesInPeriod, o.quantity]);

describe('an order plan', () => {
  it('counts goods, ordering and what is left after the last period', () => {
    // 3 packs of 10 for 25: goods 30, one order 10, holding 20 + 10 + 5 (worked by hand)
    const found = planned(
      input([item('a', [10, 10, 5], { offers: [offer({ packSize: 10, orderCost: 100 })] })]),
    );
    expect(found).toMatchObject({
      status: 'optimal',
      totalCost: 30 + 100 + 35,
      lowerBound: 165,
      costs: { goods: 30, ordering: 100, holding: 35, trips: 0 },
      stockAtEnd: [{ itemId: 'a', quantityPerPeriod: [20, 10, 5] }],
      decomposition: { parts: 1, isExact: true },
    });
    expect(found.orders).toEqual([
      {
        itemId: 'a',
        supplierId: 'S',
        placedInPeriod: 1,
        arrivesInPeriod: 1,
        quantity: 30,
        packCount: 3,
        cost: 130,
      },
    ]);
  });

  it('takes the cost of ordering of the period placed, not of arrival', () => {
    const offers = [offer({ leadPeriods: 1, orderCost: [5, 50, 500] })];
    const found = planned(input([item('a', [0, 4, 0], { offers })]));
    expect(orderLines(found)).toEqual([['a', 'S', 1, 2, 4]]);
    expect(found.totalCost).toBe(4 + 5);
  });

  it('shifts arrivals, and leaves out blocked, late and invalid ones', () => {
    const demand = [0, 0, 0, 0, 6];
    const arrivals = (more: Partial<PlanOffer>) =>
      orderLines(planned(input([item('a', demand, { offers: [offer(more)] })])));
    expect(arrivals({ leadPeriods: 2 })).toEqual([['a', 'S', 3, 5, 6]]);
    expect(arrivals({ leadPeriods: 2, blockedArrivalPeriods: [5] })).toEqual([['a', 'S', 2, 4, 6]]);
    expect(arrivals({ latestArrivalPeriod: 3 })).toEqual([['a', 'S', 3, 3, 6]]);
    expect(arrivals({ validUntilPeriod: 2, leadPeriods: 1 })).toEqual([['a', 'S', 2, 3, 6]]);
    expect(arrivals({ validFromPeriod: 4 })).toEqual([['a', 'S', 5, 5, 6]]);
  });

  it('takes two offers of one supplier apart by their ids, and the cheaper for the quantity', () => {
    const offers = [
      offer({ offerId: 'loose', unitCost: 3, orderCost: 0 }),
      offer({ offerId: 'sack', unitCost: 1, packSize: 50, orderCost: 0 }),
    ];
    const few = planned(input([item('a', [10], { offers, holdingCostPerUnit: 0 })]));
    expect(few.orders[0]).toMatchObject({ offerId: 'loose', quantity: 10, cost: 30 });
    const many = planned(input([item('a', [40], { offers, holdingCostPerUnit: 0 })]));
    expect(many.orders[0]).toMatchObject({ offerId: 'sack', quantity: 50, packCount: 1, cost: 50 });
  });

  it('buys up to a break where that is cheaper, for all units or for those above', () => {
    const priceBreaks = [{ fromQuantity: 100, unitCost: 0.5 }];
    const buys = (breakRule: 'all-units' | 'incremental', need: number) =>
      planned(
        input([
          item('a', [need], {
            holdingCostPerUnit: 0.1,
            offers: [offer({ priceBreaks, breakRule, orderCost: 0 })],
          }),
        ]),
      );
    // 90 for 90, or 100 at 0.5 with 10 left over at 0.1: 51
    expect(buys('all-units', 90)).toMatchObject({ totalCost: 51, status: 'optimal' });
    expect(buys('all-units', 40)).toMatchObject({ totalCost: 40 });
    expect(buys('incremental', 90)).toMatchObject({ totalCost: 90 });
    // 100 + 60 · 0.5
    expect(buys('incremental', 160)).toMatchObject({ totalCost: 130, status: 'optimal' });
  });

  it('uses stock and open receipts first, and those that expire while they keep', () => {
    const found = planned(
      input([item('a', [5, 5, 5, 5], { openingStock: 6 })], {
        openReceipts: [
          { itemId: 'a', arrivesInPeriod: 1, quantity: 4, lastPeriod: 1 },
          { itemId: 'a', arrivesInPeriod: 3, quantity: 5 },
        ],
      }),
    );
    // period 1: 4 that expire and 1; 5 of the opening stock in period 2; the receipt in period 3
    expect(orderLines(found)).toEqual([['a', 'S', 4, 4, 5]]);
    const tooLate = planned(
      input([item('a', [0, 5], { holdingCostPerUnit: 2 })], {
        openReceipts: [{ itemId: 'a', arrivesInPeriod: 1, quantity: 4, lastPeriod: 1 }],
      }),
    );
    // what is past its life stays on hand and is charged: 4 · 2 twice
    expect(tooLate).toMatchObject({
      totalCost: 5 + 10 + 16,
      stockAtEnd: [{ itemId: 'a', quantityPerPeriod: [4, 4] }],
    });
  });

  it('lets opening stock wait where goods bought expire', () => {
    // one order, only in period 1, keeps one period: it must serve 1 and 2, the stock period 3
    const offers = [offer({ validUntilPeriod: 1 })];
    const found = planned(
      input([item('a', [5, 5, 5], { offers, openingStock: 5, shelfLifePeriods: 1 })]),
    );
    expect(orderLines(found)).toEqual([['a', 'S', 1, 1, 10]]);
    expect(found.stockAtEnd[0]?.quantityPerPeriod).toEqual([10, 5, 0]);
  });

  it('shares trips, and takes as many as the mass needs', () => {
    const offers = [offer({ orderCost: 0, tripGroupId: 'lorry' })];
    const load = { offers, massKgPerUnit: 100, holdingCostPerUnit: 0.1 };
    const found = planned(
      input([item('a', [5, 5], load), item('b', [5, 5], load)], {
        trips: [{ id: 'lorry', costPerTrip: 30, payloadKg: 2_000 }],
      }),
    );
    // one trip of 2,000 kg, 10 units left over once at 0.1; two trips would cost 60
    expect(found).toMatchObject({
      status: 'optimal',
      totalCost: 20 + 30 + 1,
      trips: [{ tripGroupId: 'lorry', arrivesInPeriod: 1, tripCount: 1, massKg: 2_000, cost: 30 }],
      decomposition: { parts: 1, isExact: true },
    });
  });

  it('keeps to the cash of each period, carried over when so told', () => {
    const items = [item('a', [10, 10], { holdingCostPerUnit: 0.5 })];
    // one order of 20 costs 30 and 5 of stock; two cost 40
    expect(planned(input(items, { cashLimits: [30, 0] })).totalCost).toBe(35);
    expect(planned(input(items, { cashLimits: [25, 25] })).totalCost).toBe(40);
    const late = [item('a', [0, 20])];
    const carried = { cashLimits: [15, 15], doesCashCarryOver: true };
    expect(planned(input(late, carried)).totalCost).toBe(30);
    expect(planned(input(late, { cashLimits: [20, 20] })).totalCost).toBe(20 + 20 + 10);
    expect(plan(input(late, { cashLimits: [15, 15] })).status).toBe('infeasible');
  });

  it('keeps to the room of a store at the end of each period', () => {
    const items = ['a', 'b'].map((id) =>
      item(id, [10, 10], { storageUse: { storageId: 'shed', perUnit: 2 } }),
    );
    const cost = (capacityUnits: number | number[]) =>
      planned(input(items, { storage: [{ id: 'shed', capacityUnits }] })).totalCost;
    // kept or bought twice: 2 · (20 + 10 + 10) either way
    expect(cost(40)).toBe(80);
    const cheap = items.map((one) => ({ ...one, holdingCostPerUnit: 0.5 }));
    const most = (capacityUnits: number) =>
      planned(input(cheap, { storage: [{ id: 'shed', capacityUnits }] })).totalCost;
    expect([most(40), most(20), most(0)]).toEqual([70, 75, 80]);
  });

  it('changes an earlier plan only for what it saves', () => {
    const items = [item('a', [10, 10], { holdingCostPerUnit: 0.9 })];
    const keep = [10, 10].map((quantity, index) => ({
      itemId: 'a',
      supplierId: 'S',
      placedInPeriod: index + 1,
      quantity,
    }));
    // best anew: one order, 20 + 10 + 9 = 39; as before 40
    const free = planned(input(items, { keep, changePenalty: { perOrder: 0.5 } }));
    expect(free).toMatchObject({ totalCost: 39, changeCost: 0.5, status: 'optimal' });
    const held = planned(input(items, { keep, changePenalty: { perOrder: 2 } }));
    expect(held).toMatchObject({ totalCost: 40, changeCost: 0, status: 'optimal' });
    expect(held.lowerBound).toBeCloseTo(40, 4);
    const byUnit = planned(input(items, { keep, changePenalty: { perUnit: 1 } }));
    expect(byUnit).toMatchObject({ totalCost: 40, changeCost: 0 });
    // an order of a supplier that is gone is dropped in every plan
    const gone = planned(
      input(items, {
        keep: [{ itemId: 'a', supplierId: 'gone', placedInPeriod: 1, quantity: 7 }],
        changePenalty: { perOrder: 3, perUnit: 1 },
      }),
    );
    expect(gone).toMatchObject({ totalCost: 39, changeCost: 3 + 7 + 3 + 20, status: 'optimal' });
    expect(gone.lowerBound).toBeCloseTo(72, 4);
  });

  it('solves items that share nothing apart, and joins those that do', () => {
    const three = ['a', 'b', 'c'].map((id) => item(id, [3, 4]));
    expect(plan(input(three)).decomposition).toEqual({ parts: 3, isExact: true });
    expect(plan(input(three, { cashLimits: [99, 99] })).decomposition.parts).toBe(1);
    const joined = three.map((one, index) =>
      index < 2 ? { ...one, storageUse: { storageId: 'shed', perUnit: 1 } } : one,
    );
    const storage = [{ id: 'shed', capacityUnits: 100 }];
    expect(plan(input(joined, { storage })).decomposition.parts).toBe(2);
  });
});

describe('what cannot be met', () => {
  const reasons = ({ status, totalCost, orders, shortfalls }: OrderPlan) => {
    expect({ status, totalCost, orders }).toEqual({
      status: 'infeasible',
      totalCost: null,
      orders: [],
    });
    return shortfalls.map(({ itemId, period, quantity, reason, detail }) => {
      expect(detail.length).toBeGreaterThan(20);
      return [itemId, period, quantity, reason];
    });
  };

  it.each([
    ['no offer', [5], { offers: [] }, [['a', 1, 5, 'no-offer']]],
    [
      'a lead',
      [5, 5],
      { offers: [offer({ leadPeriods: 1 })] },
      [['a', 1, 5, 'no-arrival-in-time']],
    ],
    [
      'the shelf life',
      [5, 0, 5],
      { offers: [offer({ validUntilPeriod: 1 })], shelfLifePeriods: 1 },
      [['a', 3, 5, 'shelf-life']],
    ],
    [
      'the maxima',
      [5, 5, 9],
      { offers: [offer({ maximumQuantity: 6 })] },
      [['a', 3, 1, 'maximum-quantity']],
    ],
    ['the stock only', [5, 5], { offers: [], openingStock: 7 }, [['a', 2, 3, 'no-offer']]],
  ] as const)('is named with %s', (_name, demand, more, expected) => {
    expect(reasons(plan(input([item('a', [...demand], more as Partial<PlanItemInput>)])))).toEqual(
      expected,
    );
  });

  it('is named when money, trips or room do not suffice for all', () => {
    const two = ['a', 'b'].map((id) => item(id, [10, 10], { massKgPerUnit: 1 }));
    // period 1 pays 30: one order of 20 for b, both periods; period 2: 20 for a. 10 of a are missing
    const poor = reasons(plan(input(two, { cashLimits: [30, 30] })));
    expect(poor.reduce((sum, [, , quantity]) => sum + Number(quantity), 0)).toBeCloseTo(10, 4);
    expect(poor.every(([, period, , reason]) => period === 1 && reason === 'cash')).toBe(true);
    const carried = two.map((one) => ({ ...one, offers: [offer({ tripGroupId: 'lorry' })] }));
    const trips = [{ id: 'lorry', costPerTrip: 1, payloadKg: 15, maximumTripsPerPeriod: 1 }];
    const short = reasons(plan(input(carried, { trips })));
    // 30 of 40 can come, as period 1 carries 15
    expect(short.reduce((sum, [, , quantity]) => sum + Number(quantity), 0)).toBeCloseTo(10, 4);
    expect(short.every(([, , , reason]) => reason === 'trips')).toBe(true);
    const stored = [
      item('a', [10, 10], {
        offers: [offer({ validUntilPeriod: 1 })],
        storageUse: { storageId: 'shed', perUnit: 1 },
      }),
    ];
    expect(reasons(plan(input(stored, { storage: [{ id: 'shed', capacityUnits: 4 }] })))).toEqual([
      ['a', 2, expect.closeTo(6, 4), 'storage'],
    ]);
  });

  it('can be met once the shortfalls are taken off', () => {
    const two = ['a', 'b'].map((id) => item(id, [10, 10]));
    const problem = input(two, { cashLimits: [30, 30] });
    const { shortfalls } = plan(problem);
    const less = two.map((one) => ({
      ...one,
      demand: one.demand.map((need, index) =>
        Math.max(
          0,
          need -
            shortfalls
              .filter(({ itemId, period }) => itemId === one.id && period === index + 1)
              .reduce((sum, { quantity }) => sum + quantity, 0),
        ),
      ),
    }));
    expect(plan({ ...problem, items: less }).status).toBe('optimal');
  });

  it('says when goods that are there have no room', () => {
    const full = [
      item('a', [1], { openingStock: 9, storageUse: { storageId: 'shed', perUnit: 1 } }),
    ];
    expect(reasons(plan(input(full, { storage: [{ id: 'shed', capacityUnits: 5 }] })))).toEqual([
      ['a', 1, expect.closeTo(3, 4), 'storage-overfull'],
    ]);
  });
});

describe('refusals name field, value and limit', () => {
  const one = item('a', [1, 2]);
  it.each([
    [{ periodCount: 0 }, /^periodCount = 0: /],
    [{ periodCount: 3 }, /^items\[0\]\.demand = 2: must have one value for each of the 3/],
    [{ items: [one, one] }, /^items\.id = a: occurs twice/],
    [{ items: [item('a', [1, Number.NaN])] }, /^items\[0\]\.demand\[1\] = NaN: /],
    [{ items: [item('a', [1, -1])] }, /^items\[0\]\.demand\[1\] = -1: must lie between 0/],
    [{ items: [item('a', [1, 1e12])] }, /^items\[0\]\.demand\[1\] = 1000000000000: /],
    [
      {
        items: [item('a', [1, 2], { offers: [offer({ minimumQuantity: 9, maximumQuantity: 8 })] })],
      },
      /^items\[0\]\.offers\[0\]\.maximumQuantity = 8: must not be below minimumQuantity/,
    ],
    [
      {
        items: [
          item('a', [1, 2], {
            offers: [offer({ packSize: 7, minimumQuantity: 8, maximumQuantity: 13 })],
          }),
        ],
      },
      /maximumQuantity = 13: must allow a whole number of packs/,
    ],
    [
      { items: [item('a', [1, 2], { offers: [offer(), offer()] })] },
      /supplierId = S: occurs twice/,
    ],
    [
      { items: [item('a', [1, 2], { offers: [offer({ packSize: 1 / 3 })] })] },
      /packSize = 0\.333.*: must have at most 6 decimals/,
    ],
    [
      { items: [item('a', [1, 2], { offers: [offer({ tripGroupId: 'x' })] })] },
      /tripGroupId = x: is not in trips/,
    ],
    [
      {
        items: [item('a', [1, 2], { offers: [offer({ tripGroupId: 'x' })] })],
        trips: [{ id: 'x', costPerTrip: 1, payloadKg: 1 }],
      },
      /massKgPerUnit = undefined: is needed with tripGroupId x/,
    ],
    [
      {
        items: [
          item('a', [1, 2], {
            offers: [offer({ priceBreaks: [{ fromQuantity: 5, unitCost: 1 }] })],
          }),
        ],
      },
      /priceBreaks\[0\]\.unitCost = 1: must be below 1/,
    ],
    [{ cashLimits: [1] }, /^cashLimits = 1: must have one value/],
    [
      { openReceipts: [{ itemId: 'b', arrivesInPeriod: 1, quantity: 1 }] },
      /itemId = b: is not in items/,
    ],
    [{ timeLimitS: 0 }, /^timeLimitS = 0: /],
  ] as const)('%j', (more, message) => {
    expect(() => plan({ ...input([one]), ...(more as Partial<OrderPlanInput>) })).toThrow(message);
  });
});

describe('the check of a plan', () => {
  const problem: OrderPlanInput = input(
    ['a', 'b'].map((id) =>
      item(id, [5, 5], {
        massKgPerUnit: 10,
        shelfLifePeriods: 1,
        offers: [
          offer({ tripGroupId: 'lorry', packSize: 5, minimumQuantity: 5, maximumQuantity: 10 }),
        ],
        storageUse: { storageId: 'shed', perUnit: 1 },
      }),
    ),
    {
      trips: [{ id: 'lorry', costPerTrip: 3, payloadKg: 100, maximumTripsPerPeriod: 2 }],
      storage: [{ id: 'shed', capacityUnits: 10 }],
      cashLimits: [60, 60],
    },
  );

  it('finds whatever is put wrong', () => {
    const good = planned(problem);
    const [first] = good.orders;
    if (first === undefined) throw new Error('there is an order');
    const others = good.orders.slice(1);
    const wrong = (more: Partial<OrderPlan>) =>
      checkOrderPlan(problem, { ...good, ...more } as OrderPlan).map(({ path }) => path);
    const withFirst = (more: object) => wrong({ orders: [{ ...first, ...more }, ...others] });
    expect(withFirst({ quantity: 4 })).toContain('orders[0].quantity');
    expect(withFirst({ quantity: 15, packCount: 3 })).toContain('orders[0].quantity');
    expect(withFirst({ packCount: 1.5 })).toContain('orders[0].packCount');
    expect(withFirst({ arrivesInPeriod: 2 })).toContain('orders[0].arrivesInPeriod');
    expect(withFirst({ placedInPeriod: 0, arrivesInPeriod: 0 })).toContain(
      'orders[0].placedInPeriod',
    );
    expect(withFirst({ supplierId: 'other' })).toContain('orders[0]');
    expect(withFirst({ cost: first.cost + 1 })).toContain('orders[0].cost');
    expect(wrong({ orders: [...good.orders, first] })).toContain(`orders[${good.orders.length}]`);
    expect(wrong({ orders: others })).toContain(`stockAtEnd.${first.itemId}[0]`);
    expect(wrong({ totalCost: (good.totalCost ?? 0) + 1 })).toContain('totalCost');
    expect(wrong({ lowerBound: (good.totalCost ?? 0) + 1 })).toContain('lowerBound');
    expect(wrong({ lowerBound: 0 })).toContain('status');
    expect(wrong({ trips: [] })).toContain('trips');
    const [trip] = good.trips;
    expect(wrong({ trips: [{ ...trip, tripCount: 0 } as never] })).toContain('trips[0].tripCount');
    expect(wrong({ stockAtEnd: [] })).toContain('stockAtEnd.a[0]');
    const poor = { ...problem, cashLimits: [1, 1] };
    expect(checkOrderPlan(poor, good).map(({ path }) => path)).toContain('orders');
    const small = { ...problem, storage: [{ id: 'shed', capacityUnits: 0 }] };
    if (good.stockAtEnd.some(({ quantityPerPeriod }) => (quantityPerPeriod[0] ?? 0) > 0)) {
      expect(checkOrderPlan(small, good).map(({ path }) => path)).toContain('storage.shed');
    }
    expect(wrong({ status: 'infeasible', shortfalls: [] })).toEqual(['shortfalls']);
  });

  it('finds goods that serve past their life', () => {
    const late = input([item('a', [5, 5, 5], { holdingCostPerUnit: 0 })]);
    const good = planned(late);
    expect(good.orders).toHaveLength(1);
    const expiring = { ...late, items: late.items.map((one) => ({ ...one, shelfLifePeriods: 1 })) };
    expect(checkOrderPlan(expiring, good).map(({ path }) => path)).toEqual(['stockAtEnd.a[2]']);
  });
});

describe('a solver that fails', () => {
  const packed = input([item('a', [7, 8, 9], { offers: [offer({ packSize: 5 })] })]);
  const withSolver = (solve: SolveMilp) => planOrders(packed, { solve, elapsedS: () => 0 });

  it('is not believed', () => {
    expect(() => withSolver(() => ({ status: 'failed', values: null, bound: null }))).toThrow(
      /^solver\.status = failed/,
    );
    expect(() => withSolver(() => ({ status: 'optimal', values: [], bound: 0 }))).toThrow(
      /^solver\.columns = 0/,
    );
    expect(() =>
      withSolver(({ cost }) => ({
        status: 'optimal',
        values: [...cost].map(() => Number.NaN),
        bound: 0,
      })),
    ).toThrow(/^solver\.values = NaN/);
    expect(() => withSolver(() => ({ status: 'infeasible', values: null, bound: null }))).toThrow(
      /^solver\.status = infeasible/,
    );
  });

  it('that finds nothing in time leaves a plan made period by period, with a bound', () => {
    const found = withSolver(() => ({ status: 'time-limit', values: null, bound: null }));
    expect(found.status).toBe('feasible');
    expect(checkOrderPlan(packed, found)).toEqual([]);
    expect(found.lowerBound).toBeGreaterThan(0);
    // without packs: one order of 24, 24 + 10 + 17 + 9 (worked by hand), or one a period: 54
    expect(found.lowerBound).toBeLessThanOrEqual(54);
    expect(found.totalCost).toBeGreaterThanOrEqual(plan(packed).totalCost ?? Number.NaN);
  });

  it('that calls nonsense a solution is overruled', () => {
    const found = withSolver(({ cost }) => ({
      status: 'time-limit',
      values: [...cost].map(() => 0),
      bound: Number.NEGATIVE_INFINITY,
    }));
    expect(checkOrderPlan(packed, found)).toEqual([]);
  });
});
