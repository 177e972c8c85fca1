import type { SourceId } from '../sources.ts';
import { REVIEW_UTILISATION_RATIO } from './check-result.ts';
import { type SoilClass, soilRecord } from './soil-bearing.ts';
import { DEFAULT_WIND_SPEED_M_PER_S } from './wind-load.ts';

export interface ReviewTrigger {
  readonly id: string;
  readonly reason: string;
  readonly source: SourceId;
}

/** What is known of a tank and its site; a fact that is left out triggers nothing. */
export interface ReviewFacts {
  readonly waterDepthM?: number | undefined;
  readonly wallHeightM?: number | undefined;
  readonly capacityL?: number | undefined;
  /** A school, a clinic, or a building with people within one tank height. */
  readonly isNearPeople?: boolean | undefined;
  /** Zone of IS 1893, 2 to 5. */
  readonly seismicZone?: number | undefined;
  readonly shortPeriodAccelerationG?: number | undefined;
  readonly impulsiveCoefficient?: number | undefined;
  readonly groundSlopeRatio?: number | undefined;
  readonly soilClass?: SoilClass | undefined;
  readonly isWaterTableAtSlab?: boolean | undefined;
  readonly isOnStand?: boolean | undefined;
  readonly windSpeedMPerS?: number | undefined;
  readonly maxUtilisationRatio?: number | undefined;
  readonly weepingCrackMm?: number | undefined;
  readonly lostBandCount?: number | undefined;
  readonly hasFullSteelBands?: boolean | undefined;
}

interface TriggerRule extends ReviewTrigger {
  readonly applies: (facts: ReviewFacts) => boolean;
}

/** Depths, volumes and hazards above which a licensed engineer must look. Ours, but for Hasse. */
export const REVIEW_LIMITS = {
  waterDepthM: 2,
  wallHeightM: 2.2,
  capacityL: 10_000,
  capacityNearPeopleL: 5000,
  seismicZone: 3,
  shortPeriodAccelerationG: 0.4,
  /** Zone III of IS 1893 with importance 1.5, response reduction 2 and the plateau 2.5. */
  impulsiveCoefficient: 0.15,
  groundSlopeRatio: 0.1,
  windSpeedMPerS: DEFAULT_WIND_SPEED_M_PER_S,
  utilisationRatio: REVIEW_UTILISATION_RATIO,
  weepingCrackMm: 0.1,
} as const;

const above = (value: number | undefined, limit: number): boolean =>
  value !== undefined && value > limit;
const atLeast = (value: number | undefined, limit: number): boolean =>
  value !== undefined && value >= limit;

const RULES: readonly TriggerRule[] = [
  {
    id: 'water-depth',
    reason: 'The water is deeper than 2.0 m; practice stays near 1.95 m.',
    source: 'hasse-1989',
    applies: (facts) => above(facts.waterDepthM, REVIEW_LIMITS.waterDepthM),
  },
  {
    id: 'wall-height',
    reason: 'The wall is higher than 2.2 m.',
    source: 'hasse-1989',
    applies: (facts) => above(facts.wallHeightM, REVIEW_LIMITS.wallHeightM),
  },
  {
    id: 'large-volume',
    reason: 'The tank holds more than 10,000 litres.',
    source: 'project-limit',
    applies: (facts) => above(facts.capacityL, REVIEW_LIMITS.capacityL),
  },
  {
    id: 'volume-near-people',
    reason:
      'The tank holds more than 5,000 litres at a school, a clinic or within one height of an occupied building.',
    source: 'project-limit',
    applies: (facts) =>
      facts.isNearPeople === true && above(facts.capacityL, REVIEW_LIMITS.capacityNearPeopleL),
  },
  {
    id: 'seismic',
    reason:
      'The earthquake hazard is high: zone III or above, short-period acceleration above 0.4 g, or an impulsive coefficient of 0.15 or more.',
    source: 'is-1893-2',
    applies: (facts) =>
      atLeast(facts.seismicZone, REVIEW_LIMITS.seismicZone) ||
      above(facts.shortPeriodAccelerationG, REVIEW_LIMITS.shortPeriodAccelerationG) ||
      atLeast(facts.impulsiveCoefficient, REVIEW_LIMITS.impulsiveCoefficient),
  },
  {
    id: 'slope',
    reason: 'The ground slopes more than 1 in 10.',
    source: 'project-limit',
    applies: (facts) => above(facts.groundSlopeRatio, REVIEW_LIMITS.groundSlopeRatio),
  },
  {
    id: 'ground',
    reason:
      'The ground is made up, black cotton soil, peat or very soft, or its bearing class is unknown.',
    source: 'is-1904',
    applies: (facts) =>
      facts.soilClass !== undefined && soilRecord(facts.soilClass).reviewReason !== null,
  },
  {
    id: 'water-table',
    reason: 'The water table stands at the slab.',
    source: 'is-1904',
    applies: (facts) => facts.isWaterTableAtSlab === true,
  },
  {
    id: 'stand',
    reason: 'The tank stands on a raised support.',
    source: 'project-limit',
    applies: (facts) => facts.isOnStand === true,
  },
  {
    id: 'wind',
    reason: 'The basic wind speed is above 44 m/s and the tank may stand empty.',
    source: 'project-limit',
    applies: (facts) => above(facts.windSpeedMPerS, REVIEW_LIMITS.windSpeedMPerS),
  },
  {
    id: 'utilisation',
    reason: 'A check uses more than 0.9 of its capacity, or fails.',
    source: 'project-limit',
    applies: (facts) => above(facts.maxUtilisationRatio, REVIEW_LIMITS.utilisationRatio),
  },
  {
    id: 'weeping-crack',
    reason: 'A crack wider than 0.1 mm weeps.',
    source: 'project-limit',
    applies: (facts) => above(facts.weepingCrackMm, REVIEW_LIMITS.weepingCrackMm),
  },
  {
    id: 'lost-band',
    reason: 'A band is lost, cut, slack or slipped.',
    source: 'project-limit',
    applies: (facts) => above(facts.lostBandCount, 0),
  },
  {
    id: 'steel-bands-short',
    reason:
      'The steel bands do not carry the whole hoop load. Bamboo hoops cannot make up for them, and above 1,000 litres such a tank is not permitted at all.',
    source: 'vadhanavikkit-pannachet-1987',
    applies: (facts) => facts.hasFullSteelBands === false,
  },
];

/** Every reason for which a licensed engineer must review and sign, as data. */
export const REVIEW_TRIGGERS: readonly ReviewTrigger[] = RULES.map(({ id, reason, source }) => ({
  id,
  reason,
  source,
}));

/**
 * Reasons for which a licensed engineer must review and sign this tank on this site.
 *
 * @param facts what is known; unknown ground is stated as `soilClass: 'unknown'`, not left out
 * @returns the triggers that apply, in a fixed order
 * @throws {EngineError} `out-of-range` when the soil class is not one of `SOIL_CLASSES`
 * @source project-limit
 */
export function reviewTriggers(facts: ReviewFacts): ReviewTrigger[] {
  return RULES.filter((rule) => rule.applies(facts)).map(({ id, reason, source }) => ({
    id,
    reason,
    source,
  }));
}
