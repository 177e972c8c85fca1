import { describe, expect, it } from 'vitest';
import { chooseStandardTank, type StandardTankInput } from '../../../shared/index.ts';
import { noaaRainMm } from '../../published/hydrology/noaa-rain.ts';
import { expectRefusal } from './refusal.ts';

// Reliabilities of the Seattle record under yield after spillage: storage-exact-reference.
const standardTanks = [20_000, 1000, 10_000, 2000, 5000].map((capacityL) => ({
  id: `T${capacityL}`,
  capacityL,
}));
const seattle: StandardTankInput = {
  dailyInflowL: noaaRainMm('seattle').map((rainMm) => 40 * rainMm),
  demandLPerDay: 100,
  operatingRule: 'yield-after-spillage',
  standardTanks,
  targetReliabilityRatio: 0.8,
};

describe('choosing a standard tank', () => {
  it.each([
    [0.66, 'T1000'],
    [0.665, 'T2000'],
    [0.848, 'T5000'],
    [0.849, 'T10000'],
    [0.9878, 'T20000'],
  ])('takes the smallest that reaches a volumetric target of %s', (targetReliabilityRatio, id) => {
    const choice = chooseStandardTank({ ...seattle, targetReliabilityRatio });
    expect(choice).toMatchObject({ status: 'chosen', tank: { id, meetsTarget: true } });
    expect(choice.reliabilityMeasure).toBe('volumetric');
  });

  it('judges by days met when asked', () => {
    // Volumetric 0.848433, days met 0.840520.
    const target = { ...seattle, targetReliabilityRatio: 0.845 };
    expect(chooseStandardTank(target).tank?.id).toBe('T5000');
    const byDays = chooseStandardTank({ ...target, reliabilityMeasure: 'days-met' });
    expect(byDays.tank?.id).toBe('T10000');
  });

  it('takes a target met exactly as met', () => {
    const exact = { ...seattle, targetReliabilityRatio: 123_956 / 146_100 };
    expect(chooseStandardTank(exact).tank?.id).toBe('T5000');
  });

  it('evaluates every tank, smallest first, whatever the answer', () => {
    const { evaluated } = chooseStandardTank(seattle);
    expect(evaluated.map((one) => one.capacityL)).toEqual([1000, 2000, 5000, 10_000, 20_000]);
    expect(evaluated.map((one) => one.meetsTarget)).toEqual([false, false, true, true, true]);
  });

  it('says that the target is out of reach when the largest tank misses it', () => {
    const choice = chooseStandardTank({ ...seattle, targetReliabilityRatio: 0.99 });
    expect(choice).toMatchObject({ status: 'target-not-reachable', tank: null });
    expect(choice.evaluated).toHaveLength(5);
  });

  it('says that the roof is too small when it yields less than the target asks', () => {
    // 177 040 L flow in; 0.9 × 1461 d × 140 L/d = 184 086 L.
    const thirsty = { ...seattle, demandLPerDay: 140, targetReliabilityRatio: 0.9 };
    expect(chooseStandardTank(thirsty)).toMatchObject({
      status: 'roof-too-small',
      tank: null,
      totalInflowL: expect.closeTo(177_040, 6),
      totalDemandL: 204_540,
    });
    const byDays = chooseStandardTank({ ...thirsty, reliabilityMeasure: 'days-met' });
    expect(byDays.status).toBe('roof-too-small');
  });

  it('lets unequal days be met although the volume asked is out of reach', () => {
    const choice = chooseStandardTank({
      dailyInflowL: [10, 10, 10, 10],
      demandLPerDay: [1, 1, 1, 1000],
      operatingRule: 'yield-before-spillage',
      standardTanks: [{ id: 'small', capacityL: 50 }],
      targetReliabilityRatio: 0.75,
      reliabilityMeasure: 'days-met',
    });
    expect(choice).toMatchObject({ status: 'chosen', tank: { id: 'small', daysMetRatio: 0.75 } });
  });

  it('refuses no tanks, repeated ids and targets above 1', () => {
    const none = { ...seattle, standardTanks: [] };
    expectRefusal(() => chooseStandardTank(none), 'out-of-range', 'standardTanks');
    const twice = { ...seattle, standardTanks: [...standardTanks, { id: 'T1000', capacityL: 9 }] };
    expectRefusal(() => chooseStandardTank(twice), 'inconsistent', 'standardTanks[5].id');
    const above = { ...seattle, targetReliabilityRatio: 1.01 };
    expectRefusal(() => chooseStandardTank(above), 'out-of-range', 'targetReliabilityRatio');
  });
});
