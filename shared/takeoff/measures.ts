import { EngineError, requirePositive, requireWithin } from '../errors.ts';
import { circleAreaM2, cylinderWallVolumes } from '../geometry/cylinder.ts';
import { sphericalCap } from '../geometry/spherical-cap.ts';
import { stripGrid } from '../geometry/strip-grid.ts';
import {
  culmWoodM3,
  flattenedBoardWidthM,
  piecesPerLength,
  stripHoop,
  stripsPerCulm,
} from './bamboo.ts';
import { bandCutLengthM } from './bands.ts';
import type { BambooRecipe, TakeoffRecipe } from './recipe.ts';
import { requireTakeoffGeometry, type TakeoffGeometry, wallBandCount } from './takeoff-geometry.ts';
import { gridCrossingCount, tieWireKg } from './wire.ts';

/** The measures of a domed cylindrical tank that a recipe may multiply. Not rounded. */
export interface TankMeasures {
  /** 1 per tank, for what is counted once. */
  readonly one: number;
  readonly waterVolumeM3: number;
  readonly insideWallAreaM2: number;
  readonly outsideWallAreaM2: number;
  readonly floorAreaM2: number;
  /** Inside wall and floor, the faces that meet the water. */
  readonly wetAreaM2: number;
  readonly domeAreaM2: number;
  /** Outside wall and dome, the faces that meet the weather. */
  readonly weatherAreaM2: number;
  readonly slabAreaM2: number;
  readonly slabVolumeM3: number;
  readonly insideCircumferenceM: number;
  readonly outsideCircumferenceM: number;
  readonly wallFootAreaM2: number;
  readonly bandCount: number;
  readonly bandLengthM: number;
  readonly springingBandLengthM: number;
  readonly boardAreaM2: number;
  readonly boardCulms: number;
  readonly hoopStripLengthM: number;
  readonly hoopCulms: number;
  readonly roofStripCount: number;
  readonly roofStripLengthM: number;
  readonly roofStripCulms: number;
  readonly culms: number;
  readonly bambooWoodM3: number;
  readonly bambooSurfaceM2: number;
  readonly hoopTies: number;
  readonly roofTies: number;
  readonly hoopTieWireKg: number;
  readonly roofTieWireKg: number;
}

export type MeasureName = keyof TankMeasures;

const NO_BAMBOO = {
  boardAreaM2: 0,
  boardCulms: 0,
  hoopStripLengthM: 0,
  hoopCulms: 0,
  roofStripCount: 0,
  roofStripLengthM: 0,
  roofStripCulms: 0,
  culms: 0,
  bambooWoodM3: 0,
  bambooSurfaceM2: 0,
  hoopTies: 0,
  roofTies: 0,
  hoopTieWireKg: 0,
  roofTieWireKg: 0,
} as const;

/**
 * Mortar in the wall's thickness, all coats together: wall less boards [m].
 *
 * @throws {EngineError} `inconsistent` when the boards leave no room
 * @source takeoff-own
 */
export function wallMortarThicknessM(geometry: TakeoffGeometry, boardThicknessM: number): number {
  const mortarM = geometry.wallThicknessM - boardThicknessM;
  if (!(mortarM > 0)) {
    throw new EngineError(
      'inconsistent',
      'wallThicknessM',
      geometry.wallThicknessM,
      `must be above the board thickness ${boardThicknessM} m`,
    );
  }
  return mortarM;
}

/**
 * Diameter of the inside face of the boards: the inside of the tank and its share of the mortar.
 *
 * @throws {EngineError} `inconsistent` when the boards leave no room for mortar
 * @source takeoff-own
 */
export function boardInsideDiameterM(
  geometry: TakeoffGeometry,
  recipe: Pick<TakeoffRecipe, 'boardThicknessM' | 'insideMortarShareRatio'>,
): number {
  const mortarM = wallMortarThicknessM(geometry, recipe.boardThicknessM);
  return geometry.insideDiameterM + 2 * recipe.insideMortarShareRatio * mortarM;
}

/**
 * Cut length of one band on the outside of the boards, with its lap.
 *
 * @throws {EngineError} `inconsistent` when the boards leave no room for mortar
 * @source takeoff-own
 */
export function oneBandCutLengthM(
  geometry: TakeoffGeometry,
  recipe: Pick<TakeoffRecipe, 'boardThicknessM' | 'insideMortarShareRatio' | 'bands'>,
): number {
  return bandCutLengthM({
    drumDiameterM: boardInsideDiameterM(geometry, recipe) + 2 * recipe.boardThicknessM,
    thicknessMm: geometry.bands.thicknessMm,
    lapM: recipe.bands.lapM,
  });
}

/** Culms as a share: pieces over what one culm yields. Whole culms are rounded when bought. */
function culmShare(pieceCount: number, pieceLengthM: number, bamboo: BambooRecipe): number {
  const perLine = piecesPerLength({
    usableLengthM: bamboo.usableLengthM,
    pieceLengthM,
    kerfM: bamboo.kerfMm / 1000,
  });
  return pieceCount / (stripsPerCulm(bamboo) * perLine);
}

function bambooMeasures(
  geometry: TakeoffGeometry,
  recipe: TakeoffRecipe,
  bamboo: BambooRecipe,
  boardDiameterM: number,
  wallHeightM: number,
) {
  const stripThicknessM = bamboo.stripThicknessMm / 1000;
  const boardOutsideDiameterM = boardDiameterM + 2 * recipe.boardThicknessM;
  const boardLengthM = wallHeightM + bamboo.boardTopTailM;
  const boardCircumferenceM = Math.PI * (boardDiameterM + recipe.boardThicknessM);
  const boardAreaM2 = boardCircumferenceM * boardLengthM;
  const boardsPerCulm = piecesPerLength({
    usableLengthM: bamboo.usableLengthM,
    pieceLengthM: boardLengthM,
    kerfM: bamboo.kerfMm / 1000,
  });
  const boardCulms =
    boardCircumferenceM / (flattenedBoardWidthM(bamboo.culmDiameterMm) * boardsPerCulm);

  let hoopStripLengthM = 0;
  let hoopCulms = 0;
  const hoopsPerFace = wallBandCount(geometry) * bamboo.hoopsPerBandAndFace;
  for (const diameterM of [
    boardDiameterM - stripThicknessM,
    boardOutsideDiameterM + stripThicknessM,
  ]) {
    const hoop = stripHoop({
      diameterM,
      usableLengthM: bamboo.usableLengthM,
      lapM: bamboo.hoopLapM,
    });
    hoopStripLengthM += hoopsPerFace * hoop.stripLengthM;
    hoopCulms += culmShare(hoopsPerFace * hoop.pieceCount, hoop.pieceLengthM, bamboo);
  }

  const planRadiusM = geometry.insideDiameterM / 2;
  const { gridSpacingM, riseM, stripThicknessMm } = geometry.dome;
  const grid = stripGrid({
    planRadiusM,
    riseM,
    spacingM: gridSpacingM,
    stripThicknessM: (stripThicknessMm ?? bamboo.stripThicknessMm) / 1000,
  });
  let roofStripLengthM = 0;
  let roofStripCulms = 0;
  for (const strip of grid.strips) {
    for (const arcM of [strip.bottomLayerLengthM, strip.topLayerLengthM]) {
      const pieceM = arcM + 2 * bamboo.roofStripTailM;
      roofStripLengthM += strip.countPerLayer * pieceM;
      roofStripCulms += culmShare(strip.countPerLayer, pieceM, bamboo);
    }
  }

  const culms = boardCulms + hoopCulms + roofStripCulms;
  const stripGirthM = (2 * (bamboo.stripWidthMm + bamboo.stripThicknessMm)) / 1000;
  const hoopTies = hoopStripLengthM / recipe.ties.hoopTieSpacingM;
  const roofTies = gridCrossingCount({ radiusM: planRadiusM, spacingM: gridSpacingM });
  return {
    boardAreaM2,
    boardCulms,
    hoopStripLengthM,
    hoopCulms,
    roofStripCount: 2 * grid.stripsPerLayer,
    roofStripLengthM,
    roofStripCulms,
    culms,
    bambooWoodM3: culmWoodM3({ ...bamboo, lengthM: bamboo.usableLengthM }) * culms,
    bambooSurfaceM2: 2 * boardAreaM2 + stripGirthM * (hoopStripLengthM + roofStripLengthM),
    hoopTies,
    roofTies,
    hoopTieWireKg: tieWireKg({ ...recipe.ties, tieCount: hoopTies }),
    roofTieWireKg: tieWireKg({ ...recipe.ties, tieCount: roofTies }),
  };
}

/**
 * Areas, volumes, lengths and counts of one tank, from its design and the recipe of its kind.
 *
 * Coats are measured on the finished face they make; openings are not deducted. Bands lie on the
 * outside of the boards. Culms are shares of a culm, so that two tanks need exactly twice one.
 *
 * @throws {EngineError} naming the field that no tank can have
 * @source takeoff-own
 */
export function tankMeasures(geometry: TakeoffGeometry, recipe: TakeoffRecipe): TankMeasures {
  requireTakeoffGeometry(geometry);
  requireWithin('insideMortarShareRatio', recipe.insideMortarShareRatio, 0, 1);
  requirePositive({ hoopTieSpacingM: recipe.ties.hoopTieSpacingM });
  const { insideDiameterM, wallThicknessM, dome, slab } = geometry;
  const wallHeightM = geometry.wallHeightM ?? geometry.waterDepthM;
  const wall = cylinderWallVolumes(insideDiameterM, wallHeightM, wallThicknessM);
  const cap = sphericalCap(insideDiameterM / 2, dome.riseM);
  const slabAreaM2 = circleAreaM2(slab.diameterM);
  const boardDiameterM = boardInsideDiameterM(geometry, recipe);
  const wallBands = wallBandCount(geometry);
  const oneBandM = oneBandCutLengthM(geometry, recipe);
  return {
    one: 1,
    waterVolumeM3: wall.floorAreaM2 * geometry.waterDepthM,
    insideWallAreaM2: wall.insideAreaM2,
    outsideWallAreaM2: wall.outsideAreaM2,
    floorAreaM2: wall.floorAreaM2,
    wetAreaM2: wall.insideAreaM2 + wall.floorAreaM2,
    domeAreaM2: cap.surfaceAreaM2,
    weatherAreaM2: wall.outsideAreaM2 + cap.surfaceAreaM2,
    slabAreaM2,
    slabVolumeM3: slabAreaM2 * slab.thicknessM,
    insideCircumferenceM: Math.PI * insideDiameterM,
    outsideCircumferenceM: Math.PI * wall.outsideDiameterM,
    wallFootAreaM2: Math.PI * wall.meanDiameterM * wallThicknessM,
    bandCount: wallBands + recipe.bands.springingBandCount,
    bandLengthM: wallBands * oneBandM,
    springingBandLengthM: recipe.bands.springingBandCount * oneBandM,
    ...(recipe.bamboo === null
      ? NO_BAMBOO
      : bambooMeasures(geometry, recipe, recipe.bamboo, boardDiameterM, wallHeightM)),
  };
}
