import type { TankCheck } from '../design/check-tank.ts';
import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { oneBandCutLengthM } from '../takeoff/measures.ts';
import type { TakeoffGeometry } from '../takeoff/takeoff-geometry.ts';
import { printedMm } from './printed-values.ts';
import type { TableColumn } from './table.ts';
import type { DrawingRecipe } from './tank-drawing-input.ts';

export interface StripCut {
  /** Numbers of the strips of this length, the same in both layers; counted from west and north. */
  readonly numbers: readonly number[];
  readonly offsetM: number;
  readonly lowerLayerM: number;
  readonly upperLayerM: number;
}

/**
 * Cut lengths of the roof strips: the arc on the dome and a tail at each end.
 *
 * Strips of a layer are numbered across the dome, so that strip m + 1 of 2m + 1 is in the middle.
 *
 * @returns one entry for each offset from the middle [m]
 * @source plane-geometry; takeoff-own tails
 */
export function stripCuts(
  design: CompleteTankDesign,
  check: TankCheck,
  recipe: DrawingRecipe,
): StripCut[] {
  const { bottomLayer, topLayer } = check.dome.stripLengthsM;
  const tailsM = 2 * (recipe.bamboo?.roofStripTailM ?? 0);
  const middle = bottomLayer.length;
  return bottomLayer.map((lengthM, offset) => ({
    numbers: offset === 0 ? [middle] : [middle - offset, middle + offset],
    offsetM: offset * design.dome.gridSpacingM,
    lowerLayerM: lengthM + tailsM,
    upperLayerM: (topLayer[offset] ?? lengthM) + tailsM,
  }));
}

export const STRIP_COLUMNS: readonly TableColumn[] = [
  { heading: ['strips'], align: 'start' },
  { heading: ['from', 'centre', 'mm'], align: 'end' },
  { heading: ['each', 'layer', 'pieces'], align: 'end' },
  { heading: ['lower L', 'cut', 'mm'], align: 'end' },
  { heading: ['upper U', 'cut', 'mm'], align: 'end' },
];

export function stripRows(cuts: readonly StripCut[]): string[][] {
  return cuts.map((cut) => [
    cut.numbers.join(', '),
    printedMm(cut.offsetM),
    String(cut.numbers.length),
    printedMm(cut.lowerLayerM),
    printedMm(cut.upperLayerM),
  ]);
}

export const BAND_CUT_COLUMNS: readonly TableColumn[] = [
  { heading: ['steel bands'], align: 'start' },
  { heading: ['section', 'mm'], align: 'end' },
  { heading: ['pieces'], align: 'end' },
  { heading: ['cut', 'mm'], align: 'end' },
];

/**
 * Steel bands to cut: those of the wall and those of the springing, all of one length.
 *
 * @source takeoff-own band on the outside of the boards, with its lap
 */
export function bandCutRows(
  design: CompleteTankDesign,
  check: TankCheck,
  recipe: DrawingRecipe,
): string[][] {
  const { widthMm, thicknessMm } = design.bands;
  const section = `${widthMm} x ${thicknessMm}`;
  const cut = printedMm(oneBandCutLengthM(design as TakeoffGeometry, recipe));
  const count = check.bands.length;
  const springing = recipe.bands.springingBandCount;
  return [
    [count === 1 ? 'wall 1' : `wall 1 to ${count}`, section, String(count), cut],
    ...(springing > 0 ? [['springing S', section, String(springing), cut]] : []),
  ];
}
