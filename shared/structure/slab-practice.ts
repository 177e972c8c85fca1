import { requirePositive } from '../errors.ts';
import type { SourceId } from '../sources.ts';

/** Slab and ground practice for a tank on grade; hardcore and blinding below the slab. */
export const SLAB_PRACTICE = {
  hardcoreMm: 100,
  blindingMm: 50,
  leastThicknessMm: 75,
  leastThicknessOver10M3Mm: 100,
  largeTankL: 10_000,
  projectionMm: 150,
  filletMm: [50, 75],
} as const;

export interface SlabRemark {
  readonly id: string;
  readonly text: string;
  readonly source: SourceId;
}

/** Rounding of a sum of lengths that is not a shortfall. */
const LENGTH_SLACK_M = 1e-9;

/**
 * Where a slab departs from common practice: thickness by size of tank, projection beyond the wall.
 *
 * @param capacityL of the tank, @param wallOutsideDiameterM of the wall
 * @returns remarks; empty when practice is met
 * @throws {EngineError} when a value is not above 0
 * @source hasse-1989 ground; project-limit sizes
 */
export function slabRemarks(
  capacityL: number,
  wallOutsideDiameterM: number,
  slabDiameterM: number,
  slabThicknessM: number,
): SlabRemark[] {
  requirePositive({ capacityL, wallOutsideDiameterM, slabDiameterM, slabThicknessM });
  const { largeTankL, leastThicknessMm, leastThicknessOver10M3Mm, projectionMm } = SLAB_PRACTICE;
  const leastMm = capacityL > largeTankL ? leastThicknessOver10M3Mm : leastThicknessMm;
  const remarks: SlabRemark[] = [];
  if (slabThicknessM < leastMm / 1000 - LENGTH_SLACK_M) {
    remarks.push({
      id: 'slab-thin',
      text: `The slab is thinner than the ${leastMm} mm of practice for a tank of this size.`,
      source: 'project-limit',
    });
  }
  const projectionM = (slabDiameterM - wallOutsideDiameterM) / 2;
  if (projectionM < projectionMm / 1000 - LENGTH_SLACK_M) {
    remarks.push({
      id: 'slab-projection',
      text: `The slab reaches less than ${projectionMm} mm beyond the wall.`,
      source: 'project-limit',
    });
  }
  return remarks;
}
