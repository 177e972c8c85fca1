import { type SphericalCap, sphericalCap } from '../geometry/spherical-cap.ts';
import { type StripGrid, stripGrid } from '../geometry/strip-grid.ts';
import { type BandSection, type BandStress, bandStress } from './band-stress.ts';
import { type DomeBuckling, domeBuckling } from './dome-buckling.ts';
import { DOME_UNIT_WEIGHT_N_PER_M3, domeEdge, domeForcesAt } from './dome-membrane.ts';
import {
  domePointLoadForces,
  domeRingTensionN,
  PERSON_LOAD_N,
  PERSON_PATCH_RADIUS_M,
} from './dome-point-load.ts';
import { stripBendingStrain } from './strip-bending.ts';

export interface TankDomeDesign {
  readonly insideDiameterM: number;
  readonly riseM: number;
  readonly thicknessM: number;
  readonly gridSpacingM: number;
  readonly stripThicknessMm: number;
  readonly liveLoadPa: number;
  readonly mortarModulusPa: number;
  /** The band at the springing has the section of the wall bands. */
  readonly springingBand: BandSection;
}

export interface TankDome {
  readonly cap: SphericalCap;
  readonly grid: StripGrid;
  readonly ringTensionN: number;
  readonly ringTensionWithPersonN: number;
  readonly springingBand: BandStress;
  readonly crownForceNPerM: number;
  readonly edgeForceNPerM: number;
  readonly edgeHoopForceNPerM: number;
  readonly edgeVerticalReactionNPerM: number;
  readonly edgeThrustNPerM: number;
  readonly totalLoadN: number;
  readonly selfWeightPa: number;
  readonly maxCompressionPa: number;
  readonly edgeTensionPa: number;
  readonly personTensionPa: number;
  readonly maxStripStrain: number;
  readonly buckling: DomeBuckling;
}

/**
 * Forces, strips and springing band of the dome roof of a tank.
 *
 * Self weight at 24 kN/m³ and the live load over the whole roof; one person of 1 kN at the crown
 * apart, on a patch of 0.15 m radius. The ring tension without the person is `ringTensionN`.
 *
 * @returns forces per metre [N/m] compression negative, tensions [N], stresses [Pa]
 * @throws {EngineError} when a length is out of range
 * @source garlock-domes membrane theory; timoshenko-1959; zoelly-1915
 */
export function tankDome(design: TankDomeDesign): TankDome {
  const { thicknessM, liveLoadPa, mortarModulusPa } = design;
  const stripThicknessM = design.stripThicknessMm / 1000;
  const planRadiusM = design.insideDiameterM / 2;
  const { riseM, gridSpacingM: spacingM } = design;
  const cap = sphericalCap(planRadiusM, riseM);
  const grid = stripGrid({ planRadiusM, riseM, spacingM, stripThicknessM });
  const selfWeightPa = DOME_UNIT_WEIGHT_N_PER_M3 * thicknessM;
  const loads = { selfWeightPa, liveLoadPa };
  const edge = domeEdge(cap, loads);
  const crown = domeForcesAt(cap, loads, 0);
  const patchRadiusM = Math.min(PERSON_PATCH_RADIUS_M, planRadiusM);
  const person = domePointLoadForces(cap, PERSON_LOAD_N, patchRadiusM);
  const ringTensionWithPersonN = edge.ringTensionN + domeRingTensionN(cap, PERSON_LOAD_N);
  const strongestNPerM = Math.max(-edge.meridionalForceNPerM, -crown.meridionalForceNPerM);
  return {
    cap,
    grid,
    ringTensionN: edge.ringTensionN,
    ringTensionWithPersonN,
    springingBand: bandStress(ringTensionWithPersonN, design.springingBand),
    crownForceNPerM: crown.meridionalForceNPerM,
    edgeForceNPerM: edge.meridionalForceNPerM,
    edgeHoopForceNPerM: edge.hoopForceNPerM,
    edgeVerticalReactionNPerM: edge.verticalReactionNPerM,
    edgeThrustNPerM: edge.thrustNPerM,
    totalLoadN: edge.totalLoadN,
    selfWeightPa,
    maxCompressionPa: (strongestNPerM - person.meridionalForceNPerM) / thicknessM,
    edgeTensionPa: Math.max(0, edge.hoopForceNPerM) / thicknessM,
    personTensionPa: person.hoopForceNPerM / thicknessM,
    maxStripStrain: Math.max(
      ...grid.strips.map((strip) => stripBendingStrain(stripThicknessM, strip.arcRadiusM)),
    ),
    buckling: domeBuckling(mortarModulusPa, thicknessM, cap.sphereRadiusM),
  };
}
