import type { TankCheck } from '../design/check-tank.ts';
import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { continuedTables } from './continued-tables.ts';
import {
  BAND_CUT_COLUMNS,
  bandCutRows,
  STRIP_COLUMNS,
  type StripCut,
  stripCuts,
  stripRows,
} from './cut-list.ts';
import { domeGridView } from './dome-grid-view.ts';
import { printedM, printedMm } from './printed-values.ts';
import { type SheetView, viewHeading, WORK_AREA } from './sheet-frame.ts';
import { drawTable, tableLayout, tableRowCount } from './table.ts';
import type { DrawingRecipe } from './tank-drawing-input.ts';
import { textBlock } from './text-block.ts';

const MARGIN_MM = 3;
const HEADING_MM = 9;
const GAP_MM = 6;

function notes(
  recipe: DrawingRecipe,
  cuts: readonly StripCut[],
  numberedEvery: number,
  isContinued: boolean,
): string[] {
  const tail = recipe.bamboo?.roofStripTailM ?? 0;
  const total = (length: (cut: StripCut) => number) =>
    printedM(cuts.reduce((sum, cut) => sum + cut.numbers.length * length(cut), 0));
  return [
    ...(isContinued ? ['The other strips follow on the next sheet.'] : []),
    ...(numberedEvery > 1 ? [`One strip in ${numberedEvery} bears its number.`] : []),
    'L counts from the west, U from the north; the upper layer lies on the lower one.',
    `Strips: arc and ${printedMm(tail)} mm tail at each end; in all ${total((cut) => cut.lowerLayerM)} m of L and ${total((cut) => cut.upperLayerM)} m of U.`,
    `Bands lie on the outside of the boards; lap ${printedMm(recipe.bands.lapM)} mm. Measure the first one on the tank before the others are cut.`,
  ];
}

/**
 * The sheet of the dome grid with the cut list of its strips and of the steel bands, and sheets for
 * the strips that find no row on it.
 *
 * @returns one sheet, or more when the grid is fine
 * @source iso-128; iso-5457
 */
export function domeGridSheets(
  design: CompleteTankDesign,
  check: TankCheck,
  recipe: DrawingRecipe,
): SheetView[] {
  const cuts = stripCuts(design, check, recipe);
  const rows = stripRows(cuts);
  const bandRows = bandCutRows(design, check, recipe);
  const layout = tableLayout(STRIP_COLUMNS, rows);
  const bandLayout = tableLayout(BAND_CUT_COLUMNS, bandRows);
  const columnMm = Math.max(layout.widthMm, bandLayout.widthMm);
  const left = WORK_AREA.x + WORK_AREA.width - MARGIN_MM - columnMm;
  const bottom = WORK_AREA.y + WORK_AREA.height - MARGIN_MM;
  const tableTop = WORK_AREA.y + HEADING_MM;
  const space = { ...WORK_AREA, width: left - GAP_MM - WORK_AREA.x };
  const grid = domeGridView(design, check, space);
  const bandTable = (top: number) => drawTable(left, top, BAND_CUT_COLUMNS, bandRows, bandLayout);
  const bandTableMm = bandTable(0).bottom;
  const sentences = (isContinued: boolean) => notes(recipe, cuts, grid.numberedEvery, isContinued);
  const roomFor = (isContinued: boolean) => {
    const block = textBlock(left, 0, columnMm, sentences(isContinued)).heightMm;
    return tableRowCount(layout, bottom - block - bandTableMm - 5 - tableTop);
  };
  const isContinued = roomFor(false) < rows.length;
  const shown = isContinued ? roomFor(true) : rows.length;
  const table = drawTable(left, tableTop, STRIP_COLUMNS, rows.slice(0, shown), layout);
  const bands = bandTable(table.bottom + 3);
  const first: SheetView = {
    title: 'Dome grid and cut list',
    scale: `Grid 1:${grid.scale}`,
    body: [
      grid.svg,
      viewHeading(left, WORK_AREA.y, 'Cut list'),
      table.svg,
      bands.svg,
      textBlock(left, bands.bottom + 2, columnMm, sentences(isContinued)).svg,
    ].join(''),
  };
  return [first, ...continuedTables('Cut list, continued', STRIP_COLUMNS, rows.slice(shown))];
}
