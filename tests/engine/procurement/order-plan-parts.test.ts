import fc from 'fast-check';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import type { OrderPlanInput, SolveMilp } from '../../../shared/index.ts';
import { solvePart } from '../../../shared/procurement/order-plan-part-solve.ts';
import { planParts } from '../../../shared/procurement/order-plan-parts.ts';
import { planProblem } from '../../../shared/procurement/order-plan-problem.ts';
import { costOf, isAllowed, partUsage } from '../../../shared/procurement/order-plan-usage.ts';
import { orderPlanner } from '../../support/order-planner.ts';

vi.setConfig({ testTimeout: 240_000 });

let solve: SolveMilp;
beforeAll(async () => {
  ({ solve } = await orderPlanner());
});

const row = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 4, maxLength: 4 });
const shared = fc
  .record({
    demands: fc.array(row, { minLength: 2, maxLength: 3 }),
    orderCost: fc.integer({ min: 0, max: 20 }),
    room: fc.integer({ min: 0, max: 30 }),
    cash: fc.integer({ min: 60, max: 200 }),
    costPerTrip: fc.integer({ min: 0, max: 15 }),
  })
  .map(
    ({ demands, orderCost, room, cash, costPerTrip }): OrderPlanInput => ({
      periodCount: 4,
      items: demands.map((demand, index) => ({
        id: `i${index}`,
        demand,
        holdingCostPerUnit: 1,
        massKgPerUnit: 1,
        storageUse: { storageId: 'shed', perUnit: 1 },
        offers: [
          { supplierId: 's', unitCost: 1 + index, orderCost, packSize: 3, tripGroupId: 'l' },
        ],
      })),
      storage: [{ id: 'shed', capacityUnits: room }],
      cashLimits: [cash, cash, cash, cash],
      trips: [{ id: 'l', costPerTrip, payloadKg: 10 }],
    }),
  );

describe('a part too large for one model', () => {
  it('is planned item by item within what the others leave, with a bound that holds', () => {
    let plans = 0;
    fc.assert(
      fc.property(shared, (input) => {
        const [part] = planParts(planProblem(input));
        if (part === undefined) throw new Error('there is a part');
        const solver = { solve, elapsedS: () => 0 };
        const whole = solvePart(part, solver, 60);
        const parted = solvePart(part, solver, 60, 0);
        expect([whole.isWhole, parted.isWhole]).toEqual([true, false]);
        if (parted.orders === null) return;
        plans += 1;
        expect(isAllowed(part, parted.orders)).toBe(true);
        if (whole.orders === null) throw new Error('there is a plan');
        const least = costOf(partUsage(part, whole.orders));
        expect(costOf(partUsage(part, parted.orders))).toBeGreaterThanOrEqual(least - 1e-3);
        expect(parted.bound).toBeLessThanOrEqual(least + 1e-6);
        expect(parted.bound).toBeGreaterThan(0.5 * least - 1);
      }),
      { numRuns: 60 },
    );
    expect(plans).toBeGreaterThan(20);
  });
});
