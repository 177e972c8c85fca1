import type { CompleteTankDesign } from '../design/tank-design-input.ts';
import { levelDimension } from './dimension-line.ts';
import { largestScale } from './drawing-scale.ts';
import { fittingMark, fittingPoint, type PlacedPlan } from './fitting-marks.ts';
import type { Fitting } from './fittings.ts';
import { LINE_PITCH_MM } from './lettering.ts';
import { northPoint } from './north-point.ts';
import { printedMm } from './printed-values.ts';
import { scaleBar } from './scale-bar.ts';
import { viewHeading } from './sheet-frame.ts';
import { spreadLabels } from './spread-labels.ts';
import { type Box, circle, label, line, PENS, polyline } from './svg-markup.ts';
import type { TableColumn } from './table.ts';

/** Room beside the slab for the names of the fittings, and below it for dimensions. */
const ROOM_MM = { side: 29, top: 14, bottom: 30 } as const;

/** From a fitting's pipe end, which may reach past the slab, to the column of names. */
const NAME_GAP_MM = 9;

/** How far a pipe with its sign stands out of the wall. */
const PIPE_END_MM = 8;

export interface PlanView {
  readonly svg: string;
  readonly scale: number;
}

/** Letter of the n-th fitting, on the plan and in its table. */
const letterOf = (index: number): string => String.fromCharCode(65 + index);

function names(plan: PlacedPlan, fittings: readonly Fitting[], reach: number, space: Box): string {
  const limits = { from: space.y + ROOM_MM.top, to: space.y + space.height - ROOM_MM.bottom };
  const placed = fittings.map((fitting, index) => {
    const point = fittingPoint(plan, fitting);
    const text = `${letterOf(index)} ${fitting.kind}`;
    return { text, point, isArea: fitting.kind === 'hatch' };
  });
  const sides = [
    { sign: 1, anchor: 'start', those: placed.filter(({ point }) => point[0] >= plan.x - 0.01) },
    { sign: -1, anchor: 'end', those: placed.filter(({ point }) => point[0] < plan.x - 0.01) },
  ] as const;
  return sides
    .flatMap(({ sign, anchor, those }) => {
      const middles = spreadLabels(
        those.map(({ point }) => point[1]),
        LINE_PITCH_MM,
        limits,
      );
      const x = plan.x + sign * (reach + NAME_GAP_MM);
      return those.map(({ text, point, isArea }, index) => {
        const y = middles[index] ?? point[1];
        const elbow = plan.x + sign * (reach + 4);
        return [
          polyline([point, [elbow, y], [x - sign, y]], PENS.thin),
          isArea ? circle(point[0], point[1], 0.5, PENS.thin, 'black') : '',
          label({ x, y, text, anchor, isMiddle: true }),
        ].join('');
      });
    })
    .join('');
}

/**
 * Plan of the tank from above, to scale, north up: slab, dome over the wall, the wall's inside
 * hidden under it, and the fittings with their letters.
 *
 * @returns the view and its scale 1 : n
 * @source iso-128; iso-5455
 */
export function planView(
  design: CompleteTankDesign,
  fittings: readonly Fitting[],
  space: Box,
): PlanView {
  const widthMm = space.width - 2 * ROOM_MM.side;
  const heightMm = space.height - ROOM_MM.top - ROOM_MM.bottom;
  const widthM = design.slab.diameterM;
  const outsideDiameterM = design.insideDiameterM + 2 * design.wallThicknessM;
  const room = (beside: number) => ({ widthMm: widthMm - beside, heightMm: heightMm - beside });
  const scale = Math.max(
    largestScale({ widthM, heightM: widthM }, room(0)),
    largestScale({ widthM: outsideDiameterM, heightM: outsideDiameterM }, room(2 * PIPE_END_MM)),
  );
  const sheetMm = (lengthM: number): number => (lengthM * 1000) / scale;
  const x = space.x + space.width / 2;
  const y = space.y + ROOM_MM.top + heightMm / 2;
  const outsideMm = sheetMm(outsideDiameterM / 2);
  const plan: PlacedPlan = { x, y, sheetMm, outsideMm };
  const slabMm = sheetMm(widthM / 2);
  const reach = Math.max(slabMm, outsideMm + PIPE_END_MM);
  const axis = reach + 3;
  const svg = [
    viewHeading(space.x + 3, space.y, 'Plan from above'),
    circle(x, y, slabMm, PENS.edge, 'url(#concrete)'),
    circle(x, y, outsideMm, PENS.cut, 'white'),
    circle(x, y, sheetMm(design.insideDiameterM / 2), PENS.hidden),
    line(x - axis, y, x + axis, y, PENS.axis),
    line(x, y - axis, x, y + axis, PENS.axis),
    ...fittings.map((fitting) => fittingMark(plan, fitting)),
    names(plan, fittings, reach, space),
    levelDimension(
      { left: x - outsideMm, right: x + outsideMm, from: y },
      y + axis + 8,
      `${printedMm(outsideDiameterM)} mm wall outside`,
    ),
    levelDimension(
      { left: x - slabMm, right: x + slabMm, from: y },
      y + axis + 15,
      `${printedMm(widthM)} mm slab`,
    ),
    northPoint(space.x + 10, space.y + 28),
    scaleBar(space.x + 8, space.y + space.height - 4, scale),
  ];
  return { svg: svg.join(''), scale };
}

export const FITTING_COLUMNS: readonly TableColumn[] = [
  { heading: ['fitting'], align: 'start' },
  { heading: ['bearing', 'from', 'north'], align: 'end' },
  { heading: ['from', 'centre', 'mm'], align: 'end' },
  { heading: ['above', 'floor', 'mm'], align: 'end' },
];

/** Rows of the table of fittings: bearings in degrees, distances and heights in millimetres. */
export function fittingRows(fittings: readonly Fitting[]): string[][] {
  return fittings.map((fitting, index) => [
    `${letterOf(index)} ${fitting.kind}`,
    `${Math.round(fitting.bearingDeg * 10) / 10}°`,
    printedMm(fitting.fromCentreM),
    fitting.aboveFloorM === null ? 'in dome' : printedMm(fitting.aboveFloorM),
  ]);
}
