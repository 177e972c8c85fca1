import { bandLimits } from '../structure/band-stress.ts';
import { type CheckResult, judge } from '../structure/check-result.ts';
import type { CylinderWall } from '../structure/cylinder-wall.ts';
import { impulsiveBandTensionN } from '../structure/earthquake-load.ts';
import { totalHoopForceN } from '../structure/hydrostatic.ts';
import {
  MORTAR_BENDING_TENSION_LIMIT_PA,
  MORTAR_COMPRESSION_RATIO,
  MORTAR_DIRECT_TENSION_LIMIT_PA,
  MORTAR_STRENGTH_PA,
} from '../structure/mortar-limits.ts';
import type { PresumptiveBearing } from '../structure/soil-bearing.ts';
import { BAMBOO_STRIP_STRAIN_LIMIT } from '../structure/strip-bending.ts';
import type { TankBand } from '../structure/tank-bands.ts';
import type { TankDome } from '../structure/tank-dome.ts';
import type { TankSeismic, TankWind } from '../structure/tank-stability.ts';
import { maxBandSpacingM, verticalSpan } from '../structure/vertical-span.ts';
import {
  REQUIRED_OVERTURNING_SAFETY_FACTOR,
  REQUIRED_SLIDING_SAFETY_FACTOR,
} from '../structure/wind-load.ts';
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
      demand: (6 * momentNmPerM) / wallThicknessM ** 2,
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
 * the joint) with 0.6·fy. Bamboo hoops have no long-term credit.
 *
 * @source is-3370-2 table 4; is-800
 */
export function bandChecks(design: CompleteTankDesign, bands: readonly TankBand[]): CheckResult[] {
  const { waterDepthM, insideDiameterM, wallThicknessM } = design;
  const limits = bandLimits(design.bands);
  const levels = bands.map((band) => band.levelBelowWaterM);
  const gaps = levels.slice(1).map((level, i) => level - (levels[i] ?? level));
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
    judge({
      id: 'band-spacing',
      title: 'Distance between neighbouring bands',
      demand: bands.length > 1 ? greatest(gaps) : waterDepthM,
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

/**
 * Checks of the dome roof, its springing band and its bamboo grid.
 *
 * @source garlock-domes; aci-549-1r; zoelly-1915; project-limit
 */
export function domeChecks(design: CompleteTankDesign, dome: TankDome): CheckResult[] {
  const limits = bandLimits(design.bands);
  return [
    judge({
      id: 'springing-band-gross-stress',
      title: 'Steel stress of the band at the springing, roof load and one person, gross section',
      demand: dome.springingBand.grossStressPa,
      capacity: limits.permittedGrossStressPa,
      unit: 'Pa',
      source: 'is-3370-2',
    }),
    judge({
      id: 'springing-band-net-stress',
      title: 'Steel stress of the band at the springing, net section at the joint',
      demand: dome.springingBand.netStressPa,
      capacity: limits.permittedNetStressPa,
      unit: 'Pa',
      source: 'is-800',
    }),
    judge({
      id: 'dome-compression',
      title: 'Compression of the dome, roof load and one person',
      demand: dome.maxCompressionPa,
      capacity: MORTAR_COMPRESSION_RATIO * MORTAR_STRENGTH_PA,
      unit: 'Pa',
      source: 'aci-549-1r',
    }),
    judge({
      id: 'dome-edge-tension',
      title: 'Hoop tension of the dome at its edge',
      demand: dome.edgeTensionPa,
      capacity: MORTAR_DIRECT_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
    judge({
      id: 'dome-person-tension',
      title: 'Tension of the dome around one person at the crown',
      demand: dome.personTensionPa,
      capacity: MORTAR_DIRECT_TENSION_LIMIT_PA,
      unit: 'Pa',
      source: 'project-limit',
    }),
    judge({
      id: 'dome-buckling',
      title: 'Roof load against buckling of the dome',
      demand: dome.selfWeightPa + design.dome.liveLoadPa,
      capacity: dome.buckling.allowedPressurePa,
      unit: 'Pa',
      source: 'zoelly-1915',
    }),
    judge({
      id: 'strip-bending-strain',
      title: 'Strain of the most curved roof strip',
      demand: dome.maxStripStrain,
      capacity: BAMBOO_STRIP_STRAIN_LIMIT,
      unit: 'ratio',
      source: 'project-limit',
    }),
  ];
}

/**
 * Check of the ground under the full tank; none when no table gives a bearing value.
 *
 * @source ibc-2012-1806; is-1904; field-bearing-table
 */
export function bearingChecks(
  pressurePa: number,
  bearing: PresumptiveBearing | null,
): CheckResult[] {
  if (bearing === null) return [];
  return [
    judge({
      id: 'bearing-full',
      title: `Ground under the full tank with the roof loaded, on ${bearing.description}`,
      demand: pressurePa,
      capacity: bearing.bearingPa,
      unit: 'Pa',
      source: bearing.source,
    }),
  ];
}

/**
 * Checks of the empty tank in wind.
 *
 * @source is-875-3
 */
export function windChecks(wind: TankWind): CheckResult[] {
  return [
    judge({
      id: 'wind-overturning',
      title: 'Empty tank in wind, overturning with a factor of 2',
      demand: REQUIRED_OVERTURNING_SAFETY_FACTOR * wind.momentNm,
      capacity: wind.resistingMomentNm,
      unit: 'N·m',
      source: 'is-875-3',
    }),
    judge({
      id: 'wind-sliding',
      title: 'Empty tank in wind, sliding with a factor of 1.5',
      demand: REQUIRED_SLIDING_SAFETY_FACTOR * wind.forceN,
      capacity: wind.slidingResistanceN,
      unit: 'N',
      source: 'is-875-3',
    }),
  ];
}

/**
 * Checks of the full tank in an earthquake. Bearing is not raised for the short load; while the
 * slab lifts, its pressure does not occur and the uplift check fails instead.
 *
 * @source gsdma-2007; is-1893-2
 */
export function seismicChecks(
  design: CompleteTankDesign,
  bands: readonly TankBand[],
  seismic: TankSeismic,
  bearing: PresumptiveBearing | null,
): CheckResult[] {
  const { insideDiameterM, waterDepthM } = design;
  const limits = bandLimits(design.bands);
  const coefficient = design.seismic?.impulsiveCoefficient ?? 0;
  const stresses = bands.map((band) => {
    const extraN = impulsiveBandTensionN(insideDiameterM, waterDepthM, band, coefficient);
    return (band.loadN + extraN) / (limits.netAreaMm2 * 1e-6);
  });
  const checks = [
    judge({
      id: 'seismic-overturning',
      title: 'Full tank in an earthquake, overturning with a factor of 2',
      demand: REQUIRED_OVERTURNING_SAFETY_FACTOR * seismic.overturningMomentNm,
      capacity: seismic.resistingMomentNm,
      unit: 'N·m',
      source: 'gsdma-2007',
    }),
    judge({
      id: 'seismic-sliding',
      title: 'Full tank in an earthquake, sliding with a factor of 1.5',
      demand: REQUIRED_SLIDING_SAFETY_FACTOR * seismic.baseShearN,
      capacity: seismic.slidingResistanceN,
      unit: 'N',
      source: 'gsdma-2007',
    }),
    judge({
      id: 'seismic-uplift',
      title: 'Eccentricity of the full tank in an earthquake against lifting of the slab',
      demand: seismic.eccentricityM,
      capacity: seismic.kernM,
      unit: 'm',
      source: 'gsdma-2007',
    }),
    judge({
      id: 'seismic-band-stress',
      title: 'Steel stress of the most loaded band with the impulsive pressure, net section',
      demand: greatest(stresses),
      capacity: limits.permittedNetStressPa,
      unit: 'Pa',
      source: 'is-800',
    }),
  ];
  if (bearing === null || seismic.maxBearingPressurePa === null) return checks;
  return [
    ...checks,
    judge({
      id: 'seismic-bearing',
      title: `Ground under the full tank in an earthquake, on ${bearing.description}`,
      demand: seismic.maxBearingPressurePa,
      capacity: bearing.bearingPa,
      unit: 'Pa',
      source: bearing.source,
    }),
  ];
}
