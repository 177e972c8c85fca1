import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { sphericalCap } from '../geometry/spherical-cap.ts';
import { boardInsideDiameterM } from '../takeoff/measures.ts';
import type { TakeoffGeometry } from '../takeoff/takeoff-geometry.ts';
import type { BandRow } from './band-table.ts';
import { levelDimension, uprightDimensions } from './dimension-line.ts';
import { largestScale } from './drawing-scale.ts';
import { textWidthMm } from './lettering.ts';
import { printedMm } from './printed-values.ts';
import { scaleBar } from './scale-bar.ts';
import { viewHeading } from './sheet-frame.ts';
import {
  type Box,
  label,
  line,
  mm,
  PENS,
  type Point,
  path,
  polyline,
  rectangle,
} from './svg-markup.ts';
import type { DrawingRecipe } from './tank-drawing-input.ts';

/** Room beside the drawn tank for dimensions and texts. */
const ROOM_MM = { left: 27, right: 4, top: 16, bottom: 32 } as const;

/** Bands are drawn thicker than they are; their width and their levels are to scale. */
const BAND_DRAWN_MM = 0.9;
const LEAST_BAND_HEIGHT_MM = 0.7;

export interface SectionView {
  readonly svg: string;
  readonly scale: number;
  /** Where the leader of each band leaves the wall, from the top down. */
  readonly bandPoints: readonly Point[];
}

interface Placed {
  readonly design: CompleteTankDesign;
  readonly centre: number;
  /** Top of the wall, which is the springing and the design water level. */
  readonly top: number;
  readonly floor: number;
  readonly ground: number;
  readonly sheetMm: (lengthM: number) => number;
}

function domeSolid({ design, centre, top, sheetMm }: Placed): string {
  const { riseM, thicknessM } = design.dome;
  const cap = sphericalCap(design.insideDiameterM / 2, riseM);
  const inner = sheetMm(cap.sphereRadiusM);
  const outer = sheetMm(cap.sphereRadiusM + thicknessM);
  const innerHalf = sheetMm(cap.planRadiusM);
  const outerHalf = sheetMm(
    Math.sqrt((cap.sphereRadiusM + thicknessM) ** 2 - cap.centreDepthM ** 2),
  );
  const arc = (radius: number, sweep: 0 | 1, x: number) =>
    `A${mm(radius)} ${mm(radius)} 0 0 ${sweep} ${mm(x)} ${mm(top)}`;
  const commands = [
    `M${mm(centre - outerHalf)} ${mm(top)}`,
    arc(outer, 1, centre + outerHalf),
    `L${mm(centre + innerHalf)} ${mm(top)}`,
    arc(inner, 0, centre - innerHalf),
    'Z',
  ];
  return path(commands.join(' '), PENS.cut, 'url(#mortar)');
}

function wallAndSlab(placed: Placed, recipe: DrawingRecipe): string {
  const { design, centre, top, floor, ground, sheetMm } = placed;
  const inside = sheetMm(design.insideDiameterM / 2);
  const thickness = sheetMm(design.wallThicknessM);
  const slabHalf = sheetMm(design.slab.diameterM / 2);
  const boards = sheetMm(
    boardInsideDiameterM(design as TakeoffGeometry, recipe) / 2 + recipe.boardThicknessM / 2,
  );
  const wall = { y: top, width: thickness, height: floor - top };
  const slab = { x: centre - slabHalf, y: floor, width: 2 * slabHalf, height: ground - floor };
  return [
    rectangle(slab, PENS.cut, 'url(#concrete)'),
    rectangle({ ...wall, x: centre - inside - thickness }, PENS.cut, 'url(#mortar)'),
    rectangle({ ...wall, x: centre + inside }, PENS.cut, 'url(#mortar)'),
    line(centre - boards, top, centre - boards, floor, PENS.hidden),
    line(centre + boards, top, centre + boards, floor, PENS.hidden),
    groundLine(centre - slabHalf, ground, -1),
    groundLine(centre + slabHalf, ground, 1),
  ].join('');
}

function groundLine(x: number, y: number, direction: 1 | -1): string {
  const end = x + direction * 4.5;
  const strokes = [1.5, 3.5].map((offset) =>
    line(x + direction * offset, y, x + direction * offset - 1.4, y + 1.8, PENS.thin),
  );
  return line(x, y, end, y, PENS.edge) + strokes.join('');
}

function bandMarks(placed: Placed, rows: readonly BandRow[], recipe: DrawingRecipe): string[] {
  const { design, centre, top, sheetMm } = placed;
  const reach = sheetMm(
    boardInsideDiameterM(design as TakeoffGeometry, recipe) / 2 + recipe.boardThicknessM,
  );
  const height = Math.max(sheetMm(design.bands.widthMm / 1000), LEAST_BAND_HEIGHT_MM);
  return rows.map((row) => {
    const y = bandTop(row, top, height, sheetMm);
    const mark = { y, width: BAND_DRAWN_MM, height };
    const fill = row.isPass ? 'black' : 'white';
    return (
      rectangle({ ...mark, x: centre + reach }, PENS.thin, fill) +
      rectangle({ ...mark, x: centre - reach - BAND_DRAWN_MM }, PENS.thin, fill)
    );
  });
}

function bandTop(row: BandRow, top: number, height: number, sheetMm: Placed['sheetMm']): number {
  return row.name === 'S' ? top : top + sheetMm(row.belowWaterM) - height / 2;
}

function waterLevel({ design, centre, top, sheetMm }: Placed): string {
  const inside = sheetMm(design.insideDiameterM / 2);
  const left = centre - inside;
  const at = left + 6;
  const text = 'design water level';
  const fits = textWidthMm(text) + 11 <= inside;
  return [
    line(left, top, centre + inside, top, PENS.thin),
    polyline(
      [
        [at - 1.6, top - 2.8],
        [at + 1.6, top - 2.8],
        [at, top],
      ],
      PENS.thin,
      'white',
    ),
    line(at - 2.2, top + 1.1, at + 2.2, top + 1.1, PENS.thin),
    line(at - 1.4, top + 2.1, at + 1.4, top + 2.1, PENS.thin),
    line(at - 0.6, top + 3.1, at + 0.6, top + 3.1, PENS.thin),
    label({ x: at + 4, y: top + 4.4, text: fits ? text : 'water' }),
  ].join('');
}

function dimensions({ design, centre, top, floor, ground, sheetMm }: Placed): string {
  const inside = sheetMm(design.insideDiameterM / 2);
  const outside = inside + sheetMm(design.wallThicknessM);
  const slab = sheetMm(design.slab.diameterM / 2);
  const crown = top - sheetMm(design.dome.riseM);
  const x = centre - Math.max(slab, outside) - 5;
  const crownTop = crown - sheetMm(design.dome.thicknessM);
  const { sphereRadiusM } = sphericalCap(design.insideDiameterM / 2, design.dome.riseM);
  const outerRadiusM = sphereRadiusM + design.dome.thicknessM;
  // the level of the inside crown leaves the shell here
  const shellMm = sheetMm(Math.sqrt(outerRadiusM ** 2 - sphereRadiusM ** 2));
  const domeX = centre + 7;
  const insideText = `${printedMm(design.insideDiameterM)} mm inside`;
  return [
    uprightDimensions(
      [
        {
          top: crown,
          bottom: top,
          from: centre - shellMm - 1,
          text: `${printedMm(design.dome.riseM)} mm`,
        },
        {
          top,
          bottom: floor,
          from: centre - outside - 1,
          text: `${printedMm(design.waterDepthM)} mm`,
        },
        {
          top: floor,
          bottom: ground,
          from: centre - slab - 1,
          text: `${printedMm(design.slab.thicknessM)} mm`,
        },
      ],
      x,
    ),
    levelDimension(
      { left: centre - slab, right: centre + slab, from: ground + 1 },
      ground + 15,
      `${printedMm(design.slab.diameterM)} mm slab`,
    ),
    levelDimension(
      { left: centre - inside, right: centre + inside, from: ground + 1 },
      ground + 8,
      insideText,
    ),
    levelDimension(
      { left: centre - outside, right: centre - inside, from: ground + 1 },
      ground + 8,
      `${printedMm(design.wallThicknessM)} mm wall`,
      centre - textWidthMm(insideText) / 2 - 2,
    ),
    line(centre + 3, crownTop + 0.6, domeX, crownTop - 3, PENS.thin),
    label({
      x: domeX + 0.8,
      y: crownTop - 3,
      text: `dome ${printedMm(design.dome.thicknessM)} mm`,
      isMiddle: true,
    }),
  ].join('');
}

/**
 * Section through the middle of the tank, to scale: slab, wall with boards and bands, dome, water
 * level and dimensions. An open band mark is a band whose check does not pass.
 *
 * @returns the view, its scale 1 : n, and where the leader of each band leaves the wall
 * @source iso-128; iso-5455
 */
export function sectionView(
  design: CompleteTankDesign,
  recipe: DrawingRecipe,
  rows: readonly BandRow[],
  space: Box,
): SectionView {
  const { dome, slab, waterDepthM } = design;
  const heightM = dome.riseM + dome.thicknessM + waterDepthM + slab.thicknessM;
  const widthMm = space.width - ROOM_MM.left - ROOM_MM.right;
  const heightMm = space.height - ROOM_MM.top - ROOM_MM.bottom;
  const scale = largestScale({ widthM: slab.diameterM, heightM }, { widthMm, heightMm });
  const sheetMm = (lengthM: number): number => (lengthM * 1000) / scale;
  const centre = space.x + ROOM_MM.left + widthMm / 2;
  const crownTop = space.y + ROOM_MM.top + (heightMm - sheetMm(heightM)) / 2;
  const top = crownTop + sheetMm(dome.riseM + dome.thicknessM);
  const floor = top + sheetMm(waterDepthM);
  const ground = floor + sheetMm(slab.thicknessM);
  const placed: Placed = { design, centre, top, floor, ground, sheetMm };
  const outside = centre + sheetMm(design.insideDiameterM / 2 + design.wallThicknessM);
  const bandHeight = Math.max(sheetMm(design.bands.widthMm / 1000), LEAST_BAND_HEIGHT_MM);
  const svg = [
    viewHeading(space.x + 3, space.y, 'Section through the middle'),
    wallAndSlab(placed, recipe),
    domeSolid(placed),
    waterLevel(placed),
    line(centre, crownTop - 3, centre, ground + 4, PENS.axis),
    ...bandMarks(placed, rows, recipe),
    dimensions(placed),
    scaleBar(space.x + 8, space.y + space.height - 4, scale),
  ];
  return {
    svg: svg.join(''),
    scale,
    bandPoints: rows.map((row) => [
      outside,
      bandTop(row, top, bandHeight, sheetMm) + bandHeight / 2,
    ]),
  };
}
