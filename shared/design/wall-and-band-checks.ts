import { farthestBandDistanceM } from '../structure/band-distances.ts';
import { bandLimits } from '../structure/band-stress.ts';
import { type CheckResult, judge, judgeDetail } from '../structure/check-result.ts';
import type { CylinderWall } from '../structure/cylinder-wall.ts';
import { totalHoopForceN } from '../structure/hydrostatic.ts';
import {
  MORTAR_BENDING_TENSION_LIMIT_PA,
  MORTAR_DIRECT_TENSION_LIMIT_PA,
} from '../structure/mortar-limits.ts';
import type { TankBand } from '../structure/tank-bands.ts';
import { maxBandSpacingM, verticalSpan } from '../structure/vertical-span.ts';
import { squared } from '../units/same-everywhere.ts';
import type { CompleteTankDesign } from './tank-design-input.ts';

export interface TankWalls {
  readonly fixedBase: CylinderWall;
  readonly hingedBase: CylinderWall;
  readonly freeBase: CylinderWall;
}

/**
 * Checks of the uncracked mortar wall: hoop tension of the worse of fixed and hinged base, and
 * vertical bending of the worst of all moments.
 *
 * @source is-3370-2 halved for hand-mixed mortar
 */
export function wallChecks(walls: TankWalls, wallThicknessM: number): CheckResult[] {
  const { fixedBase, hingedBase } = walls;
  const hoopNPerM = Math.max(fixedBase.maxHoopForceNPerM, hingedBase.maxHoopForceNPerM);
  const momentNmPerM = Math.max(
    -fixedBase.baseMomentNmPerM,
    fixedBase.maxOppositeMomentNmPerM,
    hingedBase.maxOppositeMomentNmPerM,
  );
  return [
    judge({
      id: 'wall-hoop-stress',
      title: 'Hoop tension in the uncracked mortar wall',
      demand: hoopNPerM / wallThicknessM,
      capacity: MORTAR_DIRECT_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
    judge({
      id: 'wall-bending-stress',
      title: 'Vertical bending of the uncracked mortar wall',
      demand: (6 * momentNmPerM) / squared(wallThicknessM),
      capacity: MORTAR_BENDING_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
  ];
}

const greatest = (values: readonly number[]): number => values.reduce((a, b) => Math.max(a, b), 0);

/**
 * Checks of the steel bands that carry the whole water load with the mortar cracked.
 *
 * Gross stress is compared with the 115 MPa permitted in a water-retaining member, net stress (at
 * the joint) with 0.6·fy. Bamboo hoops have no long-term credit. The wall spans upright between
 * neighbouring bands and, at its ends, to the springing and to the floor.
 *
 * @source is-3370-2 table 4; is-800
 */
export function bandChecks(design: CompleteTankDesign, bands: readonly TankBand[]): CheckResult[] {
  const { waterDepthM, insideDiameterM, wallThicknessM } = design;
  const limits = bandLimits(design.bands);
  const levels = bands.map((band) => band.levelBelowWaterM);
  const ends = [0, ...levels, waterDepthM];
  const spans = ends
    .slice(1)
    .map((end, i) => ({ top: ends[i] ?? end, end }))
    .filter(({ top, end }) => end > top)
    .map(({ top, end }) => verticalSpan(top, end, wallThicknessM).bendingStressPa);
  return [
    judge({
      id: 'band-gross-stress',
      title: 'Steel stress of the most loaded band, gross section',
      demand: greatest(bands.map((band) => band.grossStressPa)),
      capacity: limits.permittedGrossStressPa,
      unit: 'Pa',
      source: 'is-3370-2',
    }),
    judge({
      id: 'band-net-stress',
      title: 'Steel stress of the most loaded band, net section at the joint',
      demand: greatest(bands.map((band) => band.netStressPa)),
      capacity: limits.permittedNetStressPa,
      unit: 'Pa',
      source: 'is-800',
    }),
    judge({
      id: 'band-total-capacity',
      title: 'All steel bands together against the whole hoop force of the water',
      demand: totalHoopForceN(waterDepthM, insideDiameterM / 2),
      capacity: bands.length * limits.capacityN,
      unit: 'N',
      source: 'vadhanavikkit-pannachet-1987',
    }),
    judgeDetail({
      id: 'band-spacing',
      title: 'Distance between neighbouring bands, springing and floor',
      demand: farthestBandDistanceM(levels, waterDepthM),
      capacity: maxBandSpacingM(wallThicknessM),
      unit: 'm',
      source: 'project-limit',
    }),
    judge({
      id: 'wall-span-bending',
      title: 'Bending of the wall between bands, floor and springing',
      demand: greatest(spans),
      capacity: MORTAR_BENDING_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
  ];
}
