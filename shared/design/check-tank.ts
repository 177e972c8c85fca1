import { circleAreaM2, cylinderCapacityL } from '../geometry/cylinder.ts';
import { BAMBOO_HOOP_LONG_TERM_CREDIT_RATIO } from '../structure/bamboo-hoop.ts';
import type { BandSection, BandStress } from '../structure/band-stress.ts';
import { CAUTIONS, STANDING_SENTENCE } from '../structure/cautions.ts';
import {
  type CheckOutcome,
  type CheckResult,
  DETAIL_CHECK_IDS,
} from '../structure/check-result.ts';
import { crackWidthLimitMm, leakTestMaxFallMm } from '../structure/crack-limit.ts';
import { cylinderWall } from '../structure/cylinder-wall.ts';
import { totalHoopForceN } from '../structure/hydrostatic.ts';
import { type LostBand, lostBandLoads } from '../structure/lost-band.ts';
import { type ReviewTrigger, reviewTriggers } from '../structure/review-triggers.ts';
import { slabRemarks } from '../structure/slab-practice.ts';
import { presumptiveBearing } from '../structure/soil-bearing.ts';
import { type TankBand, tankBands } from '../structure/tank-bands.ts';
import { type TankDome, tankDome } from '../structure/tank-dome.ts';
import { type TankMasses, tankMasses } from '../structure/tank-masses.ts';
import {
  type TankSeismic,
  type TankWind,
  tankSeismic,
  tankWind,
} from '../structure/tank-stability.ts';
import { domeChecks } from './dome-checks.ts';
import { bearingChecks, seismicChecks, windChecks } from './stability-checks.ts';
import {
  type CompleteTankDesign,
  completeTankDesign,
  type TankDesignInput,
} from './tank-design-input.ts';
import { bandChecks, type TankWalls, wallChecks } from './wall-and-band-checks.ts';

export interface TankCheckDome {
  readonly sphereRadiusM: number;
  readonly edgeAngleRad: number;
  readonly surfaceAreaM2: number;
  /** Self weight and live load. */
  readonly ringTensionN: number;
  /** With one person of 1 kN at the crown besides. */
  readonly ringTensionWithPersonN: number;
  /** The extra band at the springing, of the same section as the wall bands. */
  readonly springingBand: BandStress;
  readonly edgeForceNPerM: number;
  readonly edgeHoopForceNPerM: number;
  readonly stripsPerLayer: number;
  /** One length for each offset from the centre; every one but the first occurs twice. */
  readonly stripLengthsM: {
    readonly bottomLayer: readonly number[];
    readonly topLayer: readonly number[];
  };
  readonly stripTotalsM: { readonly bottomLayer: number; readonly topLayer: number };
}

export interface TankCheck {
  readonly capacityL: number;
  readonly wall: TankWalls;
  readonly bands: readonly TankBand[];
  /** What the bands together must carry, γ·R·H²/2. */
  readonly totalHoopForceN: number;
  /** What the other bands take over when one is lost, for each band in turn. */
  readonly lostBands: readonly LostBand[];
  /** Share of the hoop load given to bamboo hoops in the long term. */
  readonly bambooHoopCreditRatio: number;
  readonly dome: TankCheckDome;
  readonly masses: TankMasses;
  /** Full tank, roof unloaded. */
  readonly bearingPressurePa: number;
  readonly bearingPressureWithLiveLoadPa: number;
  /** Lowest published value for the class of ground, or null when none applies. */
  readonly presumptiveBearingPa: number | null;
  readonly wind: TankWind;
  readonly seismic?: TankSeismic;
  readonly crackWidthLimitMm: number;
  readonly leakTestMaxFallMm: number;
  readonly checks: readonly CheckResult[];
  /** The worst outcome of all checks. */
  readonly outcome: CheckOutcome;
  readonly maxUtilisationRatio: number;
  readonly reviewTriggers: readonly ReviewTrigger[];
  readonly cautions: readonly { readonly id: string; readonly text: string }[];
  readonly standingSentence: string;
}

const NOT_CHECKED_FOR_EARTHQUAKE = {
  id: 'earthquake-not-checked',
  text: 'No earthquake coefficients were given, so the tank was not checked for an earthquake.',
};

const NOT_CHECKED_FOR_BEARING = {
  id: 'bearing-not-checked',
  text: 'No published bearing value applies to this ground, so bearing was not checked.',
};

const PLAIN_STEEL_ONLY = {
  id: 'band-section',
  text: 'Bolts, lugs, welds and friction of the band joints are not checked here; neither is the slab in bending. Corrosion takes band section every year.',
};

function tankWalls(design: CompleteTankDesign): TankWalls {
  return {
    fixedBase: cylinderWall(design, 'fixed'),
    hingedBase: cylinderWall(design, 'hinged'),
    freeBase: cylinderWall(design, 'free'),
  };
}

function domeOf(design: CompleteTankDesign, springingBand: BandSection): TankDome {
  const { insideDiameterM, mortarModulusPa } = design;
  return tankDome({ ...design.dome, insideDiameterM, mortarModulusPa, springingBand });
}

function domeReport(dome: TankDome): TankCheckDome {
  const { cap, grid } = dome;
  return {
    sphereRadiusM: cap.sphereRadiusM,
    edgeAngleRad: cap.edgeAngleRad,
    surfaceAreaM2: cap.surfaceAreaM2,
    ringTensionN: dome.ringTensionN,
    ringTensionWithPersonN: dome.ringTensionWithPersonN,
    springingBand: dome.springingBand,
    edgeForceNPerM: dome.edgeForceNPerM,
    edgeHoopForceNPerM: dome.edgeHoopForceNPerM,
    stripsPerLayer: grid.stripsPerLayer,
    stripLengthsM: {
      bottomLayer: grid.strips.map((strip) => strip.bottomLayerLengthM),
      topLayer: grid.strips.map((strip) => strip.topLayerLengthM),
    },
    stripTotalsM: { bottomLayer: grid.bottomLayerTotalM, topLayer: grid.topLayerTotalM },
  };
}

/** A rule of detailing that is kept uses up no strength; a broken one counts like any other check. */
const isDetailKept = (id: string, outcome: CheckOutcome): boolean =>
  DETAIL_CHECK_IDS.has(id) && outcome !== 'fail';

function worstOutcome(checks: readonly CheckResult[]): CheckOutcome {
  if (checks.some((check) => check.outcome === 'fail')) return 'fail';
  return checks.some((check) => check.outcome === 'review') ? 'review' : 'pass';
}

/**
 * Checks one tank design: wall, bands, dome, ground, wind and, when asked, earthquake.
 *
 * The wall is solved exactly with a fixed, a hinged and a free base. The steel bands carry the
 * whole load of the water with the mortar cracked; bamboo hoops have no long-term credit. Gross
 * band stress is compared with the permitted 115 MPa (or 0.6·fy when lower), net stress at the
 * joint with 0.6·fy; both are checks, and a band's `utilisationRatio` is the greater of the two.
 * The dome's ring tension goes to one more band of the same section at the springing.
 *
 * A design that fails is a result with `outcome: 'fail'`, never an error.
 *
 * @param input lengths [m] unless named otherwise; defaults in `TANK_DESIGN_DEFAULTS`
 * @returns capacity to the top of the wall [L]; wall forces per metre for three bases, moments
 *   negative for tension on the water face; bands from the surface down; ground pressure [Pa];
 *   checks, review triggers and cautions
 * @throws {EngineError} naming parameter, value and limit when the input is not finite, out of
 *   range, incomplete or contradicts itself
 * @source timoshenko-1959; tributary-load; garlock-domes; is-3370-2; gsdma-2007; is-875-3
 */
export function checkTank(input: TankDesignInput): TankCheck {
  const design = completeTankDesign(input);
  const { insideDiameterM, waterDepthM, wallThicknessM, slab, soilClass } = design;
  const wall = tankWalls(design);
  const bands = tankBands(insideDiameterM, waterDepthM, design.bands);
  const dome = domeOf(design, design.bands);
  const sizes = {
    insideDiameterM,
    waterDepthM,
    wallThicknessM,
    slabDiameterM: slab.diameterM,
    slabThicknessM: slab.thicknessM,
  };
  const masses = tankMasses({ ...sizes, cap: dome.cap, domeThicknessM: design.dome.thicknessM });
  const stability = {
    ...sizes,
    mortarModulusPa: design.mortarModulusPa,
    domeRiseM: design.dome.riseM,
    masses,
    soilClass,
  };
  const liveLoadN = design.dome.liveLoadPa * dome.cap.planAreaM2;
  const bearingPressurePa = masses.fullWeightN / circleAreaM2(slab.diameterM);
  const loadedPressurePa = (masses.fullWeightN + liveLoadN) / circleAreaM2(slab.diameterM);
  const bearing = presumptiveBearing(soilClass);
  const wind = tankWind(stability, design.windSpeedMPerS);
  const seismic = design.seismic === undefined ? null : tankSeismic(stability, design.seismic);
  const checks = [
    ...wallChecks(wall, wallThicknessM),
    ...bandChecks(design, bands),
    ...domeChecks(design, dome),
    ...bearingChecks(loadedPressurePa, bearing),
    ...windChecks(wind),
    ...(seismic === null ? [] : seismicChecks(design, bands, seismic, bearing)),
  ];
  const utilised = checks.filter(({ id, outcome }) => !isDetailKept(id, outcome));
  const maxUtilisationRatio = Math.max(...utilised.map((check) => check.utilisationRatio));
  const capacityL = cylinderCapacityL(insideDiameterM, waterDepthM);
  const outsideDiameterM = insideDiameterM + 2 * wallThicknessM;
  const slabNotes = slabRemarks(capacityL, outsideDiameterM, slab.diameterM, slab.thicknessM);
  return {
    capacityL,
    wall,
    bands,
    totalHoopForceN: totalHoopForceN(waterDepthM, insideDiameterM / 2),
    lostBands: lostBandLoads({
      ...sizes,
      levelsBelowWaterM: bands.map((band) => band.levelBelowWaterM),
      section: design.bands,
    }),
    bambooHoopCreditRatio: BAMBOO_HOOP_LONG_TERM_CREDIT_RATIO,
    dome: domeReport(dome),
    masses,
    bearingPressurePa,
    bearingPressureWithLiveLoadPa: loadedPressurePa,
    presumptiveBearingPa: bearing === null ? null : bearing.bearingPa,
    wind,
    ...(seismic === null ? {} : { seismic }),
    crackWidthLimitMm: crackWidthLimitMm(waterDepthM, wallThicknessM),
    leakTestMaxFallMm: leakTestMaxFallMm(waterDepthM),
    checks,
    outcome: worstOutcome(checks),
    maxUtilisationRatio,
    reviewTriggers: reviewTriggers({
      waterDepthM,
      wallHeightM: waterDepthM,
      capacityL,
      impulsiveCoefficient: design.seismic?.impulsiveCoefficient,
      soilClass,
      windSpeedMPerS: design.windSpeedMPerS,
      maxUtilisationRatio,
      hasFullSteelBands: bands.every((band) => band.utilisationRatio <= 1),
    }),
    cautions: [
      ...CAUTIONS.map(({ id, text }) => ({ id, text })),
      PLAIN_STEEL_ONLY,
      ...slabNotes.map(({ id, text }) => ({ id, text })),
      ...(seismic === null ? [NOT_CHECKED_FOR_EARTHQUAKE] : []),
      ...(bearing === null ? [NOT_CHECKED_FOR_BEARING] : []),
    ],
    standingSentence: STANDING_SENTENCE,
  };
}
