import type { TankCheck } from '../design/check-tank.ts';
import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { bandLimits } from '../structure/band-stress.ts';
import { BAND_COLUMNS, bandRows } from './band-table.ts';
import { continuedTables } from './continued-tables.ts';
import { LINE_PITCH_MM } from './lettering.ts';
import { printedMpa } from './printed-values.ts';
import { sectionView } from './section-view.ts';
import { type SheetView, viewHeading, WORK_AREA } from './sheet-frame.ts';
import { PENS, polyline } from './svg-markup.ts';
import { drawTable, tableLayout, tableRowCount } from './table.ts';
import type { DrawingRecipe } from './tank-drawing-input.ts';
import { legend, type Swatch, textBlock } from './text-block.ts';

const MARGIN_MM = 3;
const LEADER_MM = 12;
const HEADING_MM = 9;

const LEGEND: readonly (readonly [Swatch, string])[] = [
  ['mortar', 'cement mortar'],
  ['concrete', 'concrete slab'],
  ['boards', 'bamboo boards in the wall'],
  ['full band', 'steel band, its check passes'],
  ['open band', 'steel band, review or fail'],
];

function notes(design: CompleteTankDesign, check: TankCheck, isContinued: boolean): string[] {
  const { bands } = design;
  const limits = bandLimits(bands);
  return [
    ...(isContinued ? ['The other bands follow on the next sheet.'] : []),
    `Bands ${bands.widthMm} x ${bands.thicknessMm} mm, yield strength ${bands.yieldStrengthMPa} MPa, joint ${bands.jointEfficiencyRatio} of the section. Limits: gross ${printedMpa(limits.permittedGrossStressPa)} MPa, net ${printedMpa(limits.permittedNetStressPa)} MPa.`,
    `Steel bands carry the whole water load with the mortar cracked; the share counted on bamboo hoops is ${check.bambooHoopCreditRatio}. S, at the springing, holds the dome with its load and one person.`,
    `Holds ${Math.round(check.capacityL)} L to the top of the wall.`,
  ];
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

const nearest = (value: number, low: number, high: number): number =>
  Math.max(low, Math.min(value, high));

/**
 * The sheet of the section with its band table, each band led to its row, and a sheet for the bands
 * that find no row on it.
 *
 * @returns one sheet, or more when there are many bands
 * @source iso-128; iso-5457
 */
export function sectionSheets(
  design: CompleteTankDesign,
  check: TankCheck,
  recipe: DrawingRecipe,
): SheetView[] {
  const rows = bandRows(design, check);
  const cells = rows.map((row) => row.cells);
  const layout = tableLayout(BAND_COLUMNS, cells);
  const right = WORK_AREA.x + WORK_AREA.width - MARGIN_MM;
  const tableLeft = right - layout.widthMm;
  const bottom = WORK_AREA.y + WORK_AREA.height - MARGIN_MM;
  const key = legend(tableLeft, WORK_AREA.y + MARGIN_MM, LEGEND);
  const highest = WORK_AREA.y + MARGIN_MM + key.heightMm + 2 + HEADING_MM;
  const noteBlock = (isContinued: boolean) => {
    const sentences = notes(design, check, isContinued);
    const top = bottom - textBlock(0, 0, layout.widthMm, sentences).heightMm;
    return { top, svg: textBlock(tableLeft, top, layout.widthMm, sentences).svg };
  };
  const rowCount = ({ top }: { top: number }) => tableRowCount(layout, top - 2 - highest);
  const whole = noteBlock(false);
  const isContinued = rowCount(whole) < cells.length;
  const below = isContinued ? noteBlock(true) : whole;
  const shown = isContinued ? rowCount(below) : cells.length;
  const space = { ...WORK_AREA, width: tableLeft - LEADER_MM - WORK_AREA.x };
  const section = sectionView(design, recipe, rows, space);
  const tableHeight = layout.headingHeightMm + shown * LINE_PITCH_MM;
  const tableTop = nearest(
    mean(section.bandPoints.map(([, y]) => y)) -
      layout.headingHeightMm -
      (shown * LINE_PITCH_MM) / 2,
    highest,
    below.top - 2 - tableHeight,
  );
  const table = drawTable(tableLeft, tableTop, BAND_COLUMNS, cells.slice(0, shown), layout);
  const leaders = table.rowMiddles.map((middle, index) => {
    const [x, y] = section.bandPoints[index] ?? [tableLeft, middle];
    const elbow = space.x + space.width;
    return polyline(
      [
        [x, y],
        [elbow, y],
        [tableLeft - 4, middle],
        [tableLeft - 0.5, middle],
      ],
      PENS.thin,
    );
  });
  const first: SheetView = {
    title: 'Section and bands',
    scale: `Section 1:${section.scale}`,
    body: [
      section.svg,
      ...leaders,
      viewHeading(tableLeft, tableTop - HEADING_MM, 'Bands'),
      table.svg,
      key.svg,
      below.svg,
    ].join(''),
  };
  return [first, ...continuedTables('Bands, continued', BAND_COLUMNS, cells.slice(shown))];
}
