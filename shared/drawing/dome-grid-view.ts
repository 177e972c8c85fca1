import type { TankCheck } from '../design/check-tank.ts';
import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { largestScale } from './drawing-scale.ts';
import { LINE_PITCH_MM, textWidthMm } from './lettering.ts';
import { northPoint } from './north-point.ts';
import { printedMm } from './printed-values.ts';
import { scaleBar } from './scale-bar.ts';
import { viewHeading } from './sheet-frame.ts';
import { type Box, circle, label, line, PENS, type Pen } from './svg-markup.ts';

const ROOM_MM = { left: 10, right: 32, top: 24, bottom: 36 } as const;

/** Numbers stand in up to this many rows, one behind the other; finer grids name every k-th. */
const MAX_NUMBER_ROWS = 3;
const FIRST_ROW_MM = 3.5;
const NUMBER_GAP_MM = 1.2;

export interface DomeGridView {
  readonly svg: string;
  readonly scale: number;
  /** One strip in so many bears its number, from the middle; 1 when all do. */
  readonly numberedEvery: number;
}

interface NumberRows {
  readonly rowCount: number;
  readonly every: number;
}

/** Strips nearer to each other on the sheet than this are drawn thin. */
const FINE_PITCH_MM = 1.6;

/** How many strips share one number, and in how many rows numbers stand that need `needMm` each. */
function numberedEvery(pitchMm: number, needMm: number): number {
  return Math.ceil(needMm / (pitchMm * MAX_NUMBER_ROWS));
}

const rowsFor = (every: number, pitchMm: number, needMm: number): NumberRows => ({
  every,
  rowCount: Math.ceil(needMm / (pitchMm * every)),
});

/** Row of the number of a strip so many from the middle; null where it bears none. */
function numberRow(fromMiddle: number, { every, rowCount }: NumberRows): number | null {
  if (fromMiddle % every !== 0) return null;
  const turn = fromMiddle / every;
  return ((turn % rowCount) + rowCount) % rowCount;
}

interface PlacedGrid {
  readonly x: number;
  readonly y: number;
  readonly radiusMm: number;
  readonly pitchMm: number;
  readonly middle: number;
}

/** Strips of one layer by number, from −m to m about the middle. */
function strips(grid: PlacedGrid): { readonly number: number; readonly at: number }[] {
  return Array.from({ length: 2 * grid.middle - 1 }, (_, index) => ({
    number: index + 1,
    at: (index + 1 - grid.middle) * grid.pitchMm,
  }));
}

const halfChord = ({ radiusMm }: PlacedGrid, at: number): number =>
  Math.sqrt(Math.max(0, radiusMm ** 2 - at ** 2));

const penOf = ({ pitchMm }: PlacedGrid, pen: Pen): Pen =>
  pitchMm < FINE_PITCH_MM ? { ...pen, widthMm: PENS.row.widthMm } : pen;

function lowerLayer(grid: PlacedGrid, rows: NumberRows): string {
  const { x, y, radiusMm, middle } = grid;
  const parts = strips(grid).map(({ number, at }) => {
    const half = halfChord(grid, at);
    const strip = line(x + at, y - half, x + at, y + half, penOf(grid, PENS.hidden));
    const row = numberRow(number - middle, rows);
    if (row === null) return strip;
    const middleY = y + radiusMm + FIRST_ROW_MM + (row + 0.5) * LINE_PITCH_MM;
    const end = middleY - LINE_PITCH_MM / 2;
    const leader = line(x + at, y + half + 0.6, x + at, end, PENS.row);
    const text = String(number);
    return (
      strip +
      leader +
      label({ x: x + at, y: middleY, text, anchor: 'middle', isMiddle: true, isClear: true })
    );
  });
  const below = y + radiusMm + FIRST_ROW_MM + (rows.rowCount + 0.6) * LINE_PITCH_MM;
  const text = `lower layer L1 to L${2 * middle - 1}`;
  return parts.join('') + label({ x, y: below, text, anchor: 'middle', isMiddle: true });
}

function upperLayer(grid: PlacedGrid, rows: NumberRows, columnMm: number): string {
  const { x, y, radiusMm, middle } = grid;
  const parts = strips(grid).map(({ number, at }) => {
    const half = halfChord(grid, at);
    const strip = line(x - half, y + at, x + half, y + at, penOf(grid, PENS.edge));
    const column = numberRow(number - middle, rows);
    if (column === null) return strip;
    const left = x + radiusMm + FIRST_ROW_MM + column * columnMm;
    const leader = line(x + half + 0.6, y + at, left - 0.6, y + at, PENS.row);
    const text = String(number);
    return strip + leader + label({ x: left, y: y + at, text, isMiddle: true, isClear: true });
  });
  const text = `upper layer U1 to U${2 * middle - 1}`;
  const above = y - radiusMm - 4;
  return parts.join('') + label({ x: x + radiusMm / 2 + 4, y: above, text, isMiddle: true });
}

/**
 * The bamboo grid of the dome in plan, to scale, north up: lower layer dashed from south to north,
 * upper layer drawn through from west to east, every strip at its offset from the middle.
 *
 * @returns the view, its scale 1 : n, and how many strips bear a number
 * @source iso-128; iso-5455
 */
export function domeGridView(
  design: CompleteTankDesign,
  check: TankCheck,
  space: Box,
): DomeGridView {
  const widthMm = space.width - ROOM_MM.left - ROOM_MM.right;
  const heightMm = space.height - ROOM_MM.top - ROOM_MM.bottom;
  const diameterM = design.insideDiameterM;
  const scale = largestScale({ widthM: diameterM, heightM: diameterM }, { widthMm, heightMm });
  const grid: PlacedGrid = {
    x: space.x + ROOM_MM.left + widthMm / 2,
    y: space.y + ROOM_MM.top + heightMm / 2,
    radiusMm: (diameterM * 500) / scale,
    pitchMm: (design.dome.gridSpacingM * 1000) / scale,
    middle: check.dome.stripLengthsM.bottomLayer.length,
  };
  const widest = textWidthMm(String(2 * grid.middle - 1)) + NUMBER_GAP_MM;
  const every = numberedEvery(grid.pitchMm, Math.max(widest, LINE_PITCH_MM));
  const lower = rowsFor(every, grid.pitchMm, widest);
  const upper = rowsFor(every, grid.pitchMm, LINE_PITCH_MM);
  const svg = [
    viewHeading(space.x + 3, space.y, 'Dome grid in plan'),
    circle(grid.x, grid.y, grid.radiusMm, PENS.cut),
    lowerLayer(grid, lower),
    upperLayer(grid, upper, widest),
    label({
      x: space.x + 3,
      y: space.y + 12,
      text: `spacing ${printedMm(design.dome.gridSpacingM)} mm both ways, from the middle`,
    }),
    northPoint(space.x + 10, space.y + 34),
    scaleBar(space.x + 8, space.y + space.height - 4, scale),
  ];
  return { svg: svg.join(''), scale, numberedEvery: every };
}
