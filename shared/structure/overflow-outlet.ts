import { requireNotNegative, requirePositive } from '../errors.ts';
import { GRAVITY_M_PER_S2 } from '../units/constants.ts';
import { squared, threeHalvesPower } from '../units/same-everywhere.ts';

/** Discharge coefficient of a sharp-edged opening. */
const ORIFICE_COEFFICIENT = 0.6;

export interface StandPipeFlow {
  readonly weirLPerS: number;
  readonly orificeLPerS: number;
  /** The smaller of the two. */
  readonly flowLPerS: number;
  readonly governedBy: 'weir' | 'orifice';
}

/**
 * Flow into the open end of a vertical overflow pipe.
 *
 *   weir Q = D · h^1.5 / 7500,   orifice Q = D² · h^0.5 / 15000,   the smaller governs
 *
 * @param boreMm D, @param headMm h above the lip
 * @returns flows [L/s]
 * @throws {EngineError} when the bore is not above 0 or the head is negative
 * @source en-12056-3 outlets
 */
export function standPipeFlow(boreMm: number, headMm: number): StandPipeFlow {
  requirePositive({ boreMm });
  requireNotNegative({ headMm });
  const weirLPerS = (boreMm * threeHalvesPower(headMm)) / 7500;
  const orificeLPerS = (squared(boreMm) * Math.sqrt(headMm)) / 15_000;
  const isWeir = weirLPerS < orificeLPerS;
  return {
    weirLPerS,
    orificeLPerS,
    flowLPerS: isWeir ? weirLPerS : orificeLPerS,
    governedBy: isWeir ? 'weir' : 'orifice',
  };
}

/**
 * Flow through a round opening under a steady head.
 *
 *   Q = Cd · A · √(2gh), Cd = 0.6
 *
 * @param boreMm diameter, @param headM h above the centre
 * @returns flow [L/s]
 * @throws {EngineError} when the bore is not above 0 or the head is negative
 * @source orifice-law
 */
export function orificeFlowLPerS(boreMm: number, headM: number): number {
  requirePositive({ boreMm });
  requireNotNegative({ headM });
  const areaM2 = (Math.PI / 4) * squared(boreMm / 1000);
  return ORIFICE_COEFFICIENT * areaM2 * Math.sqrt(2 * GRAVITY_M_PER_S2 * headM) * 1000;
}
