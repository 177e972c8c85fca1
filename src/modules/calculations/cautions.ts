import type { StorageReliabilityBody } from '../../../shared/contract/calculation-storage-reliability.ts';

export interface CalculationCaution {
  readonly id: string;
  readonly text: string;
}

/** Ten years of days. Common practice; no source. */
const FEW_RAIN_DAYS = 3_650;

/** What must be said with reliabilities computed from a record of rain. */
export function storageCautions(body: StorageReliabilityBody): CalculationCaution[] {
  const cautions: CalculationCaution[] = [
    {
      id: 'past-rain',
      text: 'The figures speak of the rain of this record; another year may be drier. They say nothing about whether the water is fit to drink.',
    },
  ];
  if (body.dailyRainMm.length < FEW_RAIN_DAYS) {
    cautions.push({
      id: 'short-record',
      text: 'The record is shorter than ten years, so that dry years may be missing from it. Ten years is common practice, without a source.',
    });
  }
  if (body.operatingRule === 'yield-before-spillage') {
    cautions.push({
      id: 'optimistic-rule',
      text: 'Yield before spillage lets the rain of a day be drawn on that day and overstates what a small tank delivers; yield after spillage is the cautious rule.',
    });
  }
  return cautions;
}

export const WATERTIGHTNESS_CAUTIONS: readonly CalculationCaution[] = [
  {
    id: 'borrowed-limit',
    text: 'The limit was written for other tanks, not for bamboo, steel bands and mortar. A failed test is repaired, recorded and repeated, never averaged away by a later pass.',
  },
  {
    id: 'filling',
    text: 'Fill in lifts, and keep people away from the wall while the tank is filled and tested: a full tank can burst at or near the floor.',
  },
  {
    id: 'not-water-quality',
    text: 'A tight tank says nothing about the water in it; only the health authority can declare water fit to drink.',
  },
];

export const LIFE_CYCLE_CAUTIONS: readonly CalculationCaution[] = [
  {
    id: 'rates-not-mixed',
    text: 'Use a real rate with constant prices or a nominal rate with escalated prices, never mixed. Say beside the result whether it is cash only, with in-kind, or with overheads.',
  },
];
