import { bandLimits } from '../structure/band-stress.ts';
import { type CheckResult, judge } from '../structure/check-result.ts';
import { impulsiveBandTensionN } from '../structure/earthquake-load.ts';
import type { PresumptiveBearing } from '../structure/soil-bearing.ts';
import type { TankBand } from '../structure/tank-bands.ts';
import type { TankSeismic, TankWind } from '../structure/tank-stability.ts';
import {
  REQUIRED_OVERTURNING_SAFETY_FACTOR,
  REQUIRED_SLIDING_SAFETY_FACTOR,
} from '../structure/wind-load.ts';
import type { CompleteTankDesign } from './tank-design-input.ts';

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
      demand: Math.max(...stresses),
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
