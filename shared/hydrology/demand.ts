import { requireNotNegative, requireWithin } from '../errors.ts';
import type { SourceId } from '../sources.ts';
import { requireCount } from './require-count.ts';

/** One group of people that draws from the tank. */
export interface WaterUse {
  readonly people: number;
  readonly litresPerPersonPerDay: number;
  /** Days of the week on which the group draws water; 7 when not stated. */
  readonly daysPerWeek?: number;
}

export interface DemandGuide {
  readonly id: string;
  readonly title: string;
  readonly lowLPerPersonPerDay: number;
  readonly highLPerPersonPerDay: number;
  readonly source: SourceId;
}

/**
 * Printed quantities of water a person needs, to choose a demand by. Guidance, not a right amount:
 * the community and the health authority decide.
 *
 * @source sphere-2011 water supply standard 1
 */
export const DEMAND_GUIDES: readonly DemandGuide[] = [
  guide('survival', 'Drinking and food', 2.5, 3, 'sphere-2011'),
  guide('basic-hygiene', 'Basic hygiene', 2, 6, 'sphere-2011'),
  guide('basic-cooking', 'Basic cooking', 3, 6, 'sphere-2011'),
  guide('basic-total', 'Total basic water', 7.5, 15, 'sphere-2011'),
  guide('emergency-average', 'Emergency minimum average', 15, 15, 'sphere-2018'),
  guide('rural-source', 'New protected rural source, at least', 20, 20, 'open-university-wash'),
  guide('pupil-drinking', 'Pupil: drinking and hand washing', 3, 3, 'sphere-2018'),
  guide('day-school', 'Day pupil, no flush toilets', 5, 5, 'who-schools-2009'),
  guide('boarding-school', 'Boarding pupil, no flush toilets', 20, 20, 'who-schools-2009'),
  guide('outpatient', 'Outpatient, per consultation', 5, 5, 'who-health-care-2008'),
  guide('inpatient', 'Inpatient', 40, 60, 'who-health-care-2008'),
];

function guide(
  id: string,
  title: string,
  lowLPerPersonPerDay: number,
  highLPerPersonPerDay: number,
  source: SourceId,
): DemandGuide {
  return { id, title, lowLPerPersonPerDay, highLPerPersonPerDay, source };
}

/**
 * Mean daily demand of all groups that draw from one tank, plus a demand stated outright.
 *
 *   D = Σ(people · L/person/day · days per week / 7) + own demand
 *
 * @param uses groups; daysPerWeek 0 to 7
 * @param ownDemandLPerDay any further demand [L/d], 0 by default
 * @returns litres a day
 * @throws {EngineError} `out-of-range` for people that are not a whole number from 0, a negative
 *   quantity, or days outside 0 to 7
 * @source own-demand-convention
 */
export function dailyDemand(uses: readonly WaterUse[], ownDemandLPerDay = 0): number {
  requireNotNegative({ ownDemandLPerDay });
  let sumLPerDay = ownDemandLPerDay;
  uses.forEach((use, index) => {
    const { people, litresPerPersonPerDay, daysPerWeek = 7 } = use;
    requireCount(`uses[${index}].people`, people);
    requireNotNegative({ [`uses[${index}].litresPerPersonPerDay`]: litresPerPersonPerDay });
    requireWithin(`uses[${index}].daysPerWeek`, daysPerWeek, 0, 7);
    sumLPerDay += (people * litresPerPersonPerDay * daysPerWeek) / 7;
  });
  return sumLPerDay;
}
