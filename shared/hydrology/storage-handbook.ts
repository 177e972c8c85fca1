import { requireNotNegative } from '../errors.ts';

/**
 * Storage by the dry-season rule: people times their daily water times the days to bridge.
 * A first guess to compare with the simulation, never the sizing itself.
 *
 * @param dryDays days of the longest dry run [d]
 * @returns litres
 * @throws {EngineError} for a negative value
 * @source gould-nissen-petersen-1999 dry-season demand
 */
export function drySeasonStorage(demandLPerDay: number, dryDays: number): number {
  requireNotNegative({ demandLPerDay, dryDays });
  return demandLPerDay * dryDays;
}

/** Share of the annual yield or demand, about 18 days, and the days of a year as the rule counts. */
const INTERMEDIATE_SHARE_RATIO = 0.05;
const DAYS_PER_YEAR = 365;

/**
 * Storage by the intermediate approach of the European rainwater standards: the lesser of 5 % of
 * the annual yield and 5 % of the annual demand.
 *
 * Made for even rain the year round and uses other than drinking. In a seasonal climate it is far
 * too small: show it for comparison only, never as the size.
 *
 * @param annualYieldL yield of the roofs after every loss [L/a]
 * @returns litres
 * @throws {EngineError} for a negative value
 * @source en-16941-1 intermediate approach
 */
export function intermediateApproachStorage(annualYieldL: number, demandLPerDay: number): number {
  requireNotNegative({ annualYieldL, demandLPerDay });
  return INTERMEDIATE_SHARE_RATIO * Math.min(annualYieldL, demandLPerDay * DAYS_PER_YEAR);
}
