import { EngineError, requireNotNegative, requirePositive, requireWithin } from '../errors.ts';
import type { SourceId } from '../sources.ts';

export type Trade =
  | 'foreman'
  | 'mason'
  | 'labourer'
  | 'water-carrier'
  | 'bamboo-worker'
  | 'painter';

export interface LabourConstant {
  readonly work: string;
  readonly per: 'm3' | 'm2';
  readonly daysByTrade: Readonly<Partial<Record<Trade, number>>>;
  readonly source: SourceId;
}

/** Days of eight hours per unit of work. */
export const LABOUR_CONSTANTS = {
  excavation: {
    work: 'Excavation to 1.5 m',
    per: 'm3',
    daysByTrade: { labourer: 0.62, foreman: 0.06 },
    source: 'is-7272',
  },
  backfill: {
    work: 'Backfill in layers',
    per: 'm3',
    daysByTrade: { labourer: 0.27, 'water-carrier': 0.02 },
    source: 'is-7272',
  },
  'hand-mixed-mortar': {
    work: 'Mortar mixed by hand',
    per: 'm3',
    daysByTrade: { labourer: 0.75, 'water-carrier': 0.07 },
    source: 'is-7272',
  },
  concrete: {
    work: 'Concrete, machine mixed',
    per: 'm3',
    daysByTrade: { mason: 0.1, labourer: 1.63, 'water-carrier': 0.7 },
    source: 'is-7272',
  },
  'plaster-13-mm': {
    work: 'Plaster 12 to 13 mm, per m²: 6.5, 4.5 and 0.75 hours per 10 m²',
    per: 'm2',
    daysByTrade: { mason: 6.5 / 80, labourer: 4.5 / 80, 'water-carrier': 0.75 / 80 },
    source: 'plaster-rate-analysis',
  },
  'plaster-12-mm-out-turn': {
    work: 'Plaster 12 mm by out-turn of 8 m² a day',
    per: 'm2',
    daysByTrade: { mason: 0.125 },
    source: 'plaster-out-turn',
  },
  'paint-coat': {
    work: 'Painting a large surface, one coat, 30 m² a day',
    per: 'm2',
    daysByTrade: { painter: 1 / 30 },
    source: 'plaster-out-turn',
  },
} as const satisfies Readonly<Record<string, LabourConstant>>;

/**
 * Days of work of one trade: quantity · constant / efficiency.
 *
 * @param input efficiencyRatio: 0.7 for curved thin shells built by trainees (a project assumption)
 * @returns work [day of 8 h]
 * @throws {EngineError} `out-of-range` when the efficiency is outside 0.1 to 1.5
 * @source is-7272
 */
export function labourDays(input: {
  readonly quantity: number;
  readonly daysPerUnit: number;
  readonly efficiencyRatio: number;
}): number {
  requireNotNegative({ quantity: input.quantity, daysPerUnit: input.daysPerUnit });
  requireWithin('efficiencyRatio', input.efficiencyRatio, 0.1, 1.5);
  return (input.quantity * input.daysPerUnit) / input.efficiencyRatio;
}

/**
 * Calendar of a crew: total days of work over the crew's size.
 *
 * @source is-7272
 */
export function crewDays(workDays: number, crewSize: number): number {
  requireNotNegative({ workDays });
  requirePositive({ crewSize });
  return workDays / crewSize;
}

function requireUnitNumber(parameter: string, value: number): void {
  if (!Number.isSafeInteger(value) || value < 1) {
    throw new EngineError('out-of-range', parameter, value, 'must be a whole number from 1');
  }
}

/**
 * Time of the n-th tank of a crew against its first: tₙ/t₁ = n^(log₂ r).
 *
 * @param input n = tankNumber from 1, r = learningRatio, the factor of each doubling (0.85 to 0.95)
 * @throws {EngineError} `out-of-range` when n is not whole or r is outside 0.5 to 1
 * @source wright-1936
 */
export function learningFactor(input: {
  readonly tankNumber: number;
  readonly learningRatio: number;
}): number {
  requireUnitNumber('tankNumber', input.tankNumber);
  requireWithin('learningRatio', input.learningRatio, 0.5, 1);
  return input.tankNumber ** Math.log2(input.learningRatio);
}

/**
 * Days of a crew for its tanks from `firstTankNumber` on: Σ t₁·n^(log₂ r).
 *
 * @throws {EngineError} `out-of-range` when a count is not whole or above 100,000
 * @source wright-1936
 */
export function learningCurveDays(input: {
  readonly firstTankDays: number;
  readonly tankCount: number;
  readonly learningRatio: number;
  readonly firstTankNumber?: number | undefined;
}): number {
  const { firstTankDays, tankCount, learningRatio, firstTankNumber = 1 } = input;
  requireNotNegative({ firstTankDays });
  requireUnitNumber('tankCount', tankCount);
  requireUnitNumber('firstTankNumber', firstTankNumber);
  if (tankCount > 100_000) {
    throw new EngineError('out-of-range', 'tankCount', tankCount, 'must be at most 100000');
  }
  let days = 0;
  for (let n = firstTankNumber; n < firstTankNumber + tankCount; n += 1) {
    days += firstTankDays * learningFactor({ tankNumber: n, learningRatio });
  }
  return days;
}
