import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type AvailableStock,
  allocateStock,
  type PeriodNeed,
  sumNeeds,
  sumQuantities,
} from '../../../shared/index.ts';

const stock = (supplyId: string, quantity: string, more: Partial<AvailableStock> = {}) => ({
  supplyId,
  kind: 'stock' as const,
  villageId: null,
  storeId: `store-${supplyId}`,
  fromPeriod: 1,
  untilPeriod: null,
  quantity,
  ...more,
});
const need = (villageId: string, period: number, quantity: string) => ({
  villageId,
  period,
  quantity,
});

describe('stock shared out before buying', () => {
  it('serves a village from its own store, then from common stores, then from its neighbours', () => {
    const found = allocateStock(
      [need('A', 1, '10'), need('B', 2, '4')],
      [
        stock('neighbour', '20', { villageId: 'B' }),
        stock('common', '3'),
        stock('own', '2', { villageId: 'A' }),
      ],
    );
    expect(
      found.allocations.map(({ supplyId, toVillageId, quantity }) => [
        supplyId,
        toVillageId,
        quantity,
      ]),
    ).toEqual([
      ['own', 'A', '2'],
      ['neighbour', 'B', '4'],
      ['common', 'A', '3'],
      ['neighbour', 'A', '5'],
    ]);
    expect(found.uncovered).toEqual([]);
    expect(found.leftOver).toEqual([
      { supplyId: 'neighbour', quantity: '11' },
      { supplyId: 'common', quantity: '0' },
      { supplyId: 'own', quantity: '0' },
    ]);
  });

  it('uses what expires first and leaves what has expired or is not there yet', () => {
    const found = allocateStock(
      [need('A', 1, '1'), need('A', 3, '5')],
      [
        stock('keeps', '1'),
        stock('old', '9', { untilPeriod: 2 }),
        stock('late', '2', { fromPeriod: 4 }),
        stock('soon', '1', { untilPeriod: 3 }),
      ],
    );
    expect(
      found.allocations.map(({ supplyId, period, quantity }) => [supplyId, period, quantity]),
    ).toEqual([
      ['old', 1, '1'],
      ['soon', 3, '1'],
      ['keeps', 3, '1'],
    ]);
    expect(found.uncovered).toEqual([need('A', 3, '3')]);
  });

  it('does not send an open order on to another village', () => {
    const order = stock('order', '5', { kind: 'open-order', villageId: 'B', storeId: null });
    expect(allocateStock([need('A', 1, '5')], [order]).allocations).toEqual([]);
  });

  it('refuses what cannot be, naming it', () => {
    expect(() => allocateStock([need('A', 0, '1')], [])).toThrow('A.period');
    expect(() => allocateStock([need('A', 1, '-1')], [])).toThrow('A.quantity');
    expect(() => allocateStock([], [stock('s', '-1')])).toThrow('s.quantity');
  });

  const needs = fc.array(
    fc.record({
      villageId: fc.constantFrom('A', 'B'),
      period: fc.integer({ min: 1, max: 4 }),
      quantity: fc.integer({ min: 0, max: 3 }).map(String),
    }),
    { maxLength: 5 },
  );
  const supplies = fc
    .array(
      fc.record({
        villageId: fc.constantFrom('A', 'B', null),
        fromPeriod: fc.integer({ min: 1, max: 4 }),
        untilPeriod: fc.option(fc.integer({ min: 1, max: 4 })),
        quantity: fc.integer({ min: 0, max: 3 }).map(String),
      }),
      { maxLength: 5 },
    )
    .map((rows) => rows.map((row, index) => stock(`s${index}`, row.quantity, row)));

  it('gives away no more than there is, in its time, and accounts for every need', () => {
    fc.assert(
      fc.property(needs, supplies, (wanted, given) => {
        const found = allocateStock(wanted, given);
        for (const { supplyId, quantity, fromPeriod, untilPeriod } of given) {
          const own = found.allocations.filter((one) => one.supplyId === supplyId);
          const rest = found.leftOver.find((one) => one.supplyId === supplyId)?.quantity ?? '';
          expect(sumQuantities([...own.map((one) => one.quantity), rest])).toBe(quantity);
          for (const { period } of own) {
            expect(period).toBeGreaterThanOrEqual(fromPeriod);
            expect(period).toBeLessThanOrEqual(untilPeriod ?? period);
          }
        }
        const all = (rows: readonly { quantity: string }[]) =>
          sumQuantities(rows.map(({ quantity }) => quantity));
        expect(sumQuantities([all(found.allocations), all(found.uncovered)])).toBe(all(wanted));
      }),
      { numRuns: 500 },
    );
  });

  // Independent method: the greatest flow from supplies to needs, by augmenting paths of one unit.
  it('covers as much of one village as any sharing out could', () => {
    fc.assert(
      fc.property(needs, supplies, (wanted, given) => {
        const own = wanted.map((one) => ({ ...one, villageId: 'A' }));
        const here = given.map((one) => ({ ...one, villageId: 'A' }));
        const covered = allocateStock(own, here).allocations.reduce(
          (sum, one) => sum + Number(one.quantity),
          0,
        );
        expect(covered).toBe(greatestFlow(own, here));
      }),
      { numRuns: 500 },
    );
  });

  it('adds needs up by village and period', () => {
    expect(sumNeeds([need('B', 2, '1.5'), need('A', 2, '1'), need('B', 2, '0.25')])).toEqual([
      need('A', 2, '1'),
      need('B', 2, '1.75'),
    ]);
  });
});

function greatestFlow(wanted: readonly PeriodNeed[], given: readonly AvailableStock[]): number {
  const units = given.flatMap((one) => Array.from({ length: Number(one.quantity) }, () => one));
  const slots = wanted.flatMap((one) => Array.from({ length: Number(one.quantity) }, () => one));
  const takenBy = new Map<number, number>();
  const fits = (unit: AvailableStock, slot: PeriodNeed) =>
    unit.fromPeriod <= slot.period && (unit.untilPeriod ?? slot.period) >= slot.period;
  const augment = (unit: number, seen: Set<number>): boolean =>
    slots.some((slot, index) => {
      if (seen.has(index) || !fits(units[unit] as AvailableStock, slot)) return false;
      seen.add(index);
      const holder = takenBy.get(index);
      if (holder !== undefined && !augment(holder, seen)) return false;
      takenBy.set(index, unit);
      return true;
    });
  return units.filter((_, unit) => augment(unit, new Set())).length;
}
