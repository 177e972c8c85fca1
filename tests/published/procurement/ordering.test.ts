import { beforeAll, describe, expect, it, vi } from 'vitest';
import {
  bestDiscountQuantity,
  checkOrderPlan,
  economicOrderQuantity,
  netRequirements,
  type OrderPlan,
  type OrderPlanInput,
  wagnerWhitin,
} from '../../../shared/index.ts';
import { orderPlanner } from '../../support/order-planner.ts';
import { leastCostByStates } from '../../support/order-references.ts';
import { expectPrinted } from '../takeoff/printed.ts';
import published from './ordering.json' with { type: 'json' };

// Solving is slow on a busy machine.
vi.setConfig({ testTimeout: 240_000 });

let plan: (input: OrderPlanInput) => OrderPlan;
beforeAll(async () => {
  ({ plan } = await orderPlanner());
});

const numbers = (text: string): number[] => text.split(',').map(Number);
const { twelvePeriods, fivePeriods, variants, discounts, netting } = published;

const oneItem = (
  sheet: { demand: number[]; orderCost: number | number[]; holdingCostPerUnit: number },
  offer: object = {},
  item: object = {},
): OrderPlanInput => ({
  periodCount: sheet.demand.length,
  items: [
    {
      id: 'item',
      demand: sheet.demand,
      holdingCostPerUnit: sheet.holdingCostPerUnit,
      offers: [{ supplierId: 'only', unitCost: 0, orderCost: sheet.orderCost, ...offer }],
      ...item,
    },
  ],
});

describe.each([
  ['twelve periods, Wagner and Whitin 1958 [memory]', twelvePeriods],
  ['five periods, a course sheet of Southampton', fivePeriods],
])('lot sizes of %s', (_name, sheet) => {
  const orders = sheet.orderPeriods.map((period, index) => ({
    period,
    quantity: numbers(sheet.orderQuantities)[index],
  }));

  it('are those of the sheet, with the cost of every first part', () => {
    const found = wagnerWhitin(sheet);
    expect(found.leastCosts).toEqual(numbers(sheet.leastCosts));
    expect(found.orders).toEqual(orders);
  });

  it('are those of the plan', () => {
    const found = plan(oneItem(sheet));
    expect(found).toMatchObject({
      status: 'optimal',
      totalCost: numbers(sheet.leastCosts).at(-1),
      lowerBound: numbers(sheet.leastCosts).at(-1),
    });
    expect(
      found.orders.map(({ placedInPeriod, quantity }) => ({ period: placedInPeriod, quantity })),
    ).toEqual(orders);
  });
});

it('leaves 40 at the end of the course sheet for 380', () => {
  const { endStock, leastCost } = fivePeriods.withEndStock;
  expect(wagnerWhitin({ ...fivePeriods, endStock }).leastCosts.at(-1)).toBe(Number(leastCost));
  const demand = fivePeriods.demand.with(4, 20 + endStock);
  expect(plan(oneItem({ ...fivePeriods, demand })).totalCost).toBe(Number(leastCost));
});

describe('the twelve periods with limits', () => {
  it.each(variants.rows)('cost $optimum with $name', (row) => {
    const input = oneItem(twelvePeriods, row.offer, row.item);
    const found = plan(input);
    expect(found.status).toBe('optimal');
    expectPrinted(found.totalCost ?? Number.NaN, row.optimum);
    expect(found.lowerBound).toBeCloseTo(Number(row.optimum), 2);
    expect(checkOrderPlan(input, found)).toEqual([]);
    // by a dynamic programme over the stock, apart from the engine
    if (row.isByStates === true) expect(leastCostByStates(input)).toBe(Number(row.optimum));
  });
});

describe('price breaks of the trash bags [memory]', () => {
  const { allUnits, incremental, ...terms } = discounts;

  it.each([
    ['all-units', allUnits],
    ['incremental', incremental],
  ] as const)('%s', (breakRule, printed) => {
    const { quantity, yearlyCost, candidates } = bestDiscountQuantity({ ...terms, breakRule });
    expectPrinted(quantity, printed.best);
    const costs = printed.yearlyCosts.split(',').map((text) => text.trim());
    for (const [index, text] of printed.economicQuantities.split(',').entries()) {
      expectPrinted(candidates[index]?.economicQuantity ?? Number.NaN, text.trim());
      expectPrinted(candidates[index]?.yearlyCost ?? Number.NaN, costs[index] ?? '');
    }
    expect(yearlyCost).toBe(
      Math.min(...candidates.filter((one) => one.quantity !== null).map((one) => one.yearlyCost)),
    );
  });

  it('begin with the plain economic quantity', () => {
    const { demandPerYear, orderCost, holdingRatePerYear, unitCost } = discounts;
    expect(
      economicOrderQuantity(demandPerYear, orderCost, holdingRatePerYear * unitCost),
    ).toBeCloseTo(400, 9);
  });
});

it('nets the made-up stock, with releases two periods before', () => {
  const found = netRequirements({
    ...netting,
    lotRule: { kind: 'pack-multiple', packQuantity: netting.packQuantity },
  });
  for (const field of [
    'netRequirements',
    'plannedReceipts',
    'projectedOnHand',
    'plannedReleases',
  ] as const) {
    expect(found[field], field).toEqual(numbers(netting[field]));
  }
  expect(found.lateReleases).toEqual([]);
});
