import type { Fitting } from './fittings.ts';
import { circle, line, PENS, type Point, polyline } from './svg-markup.ts';

/** Where the tank lies on the sheet. */
export interface PlacedPlan {
  readonly x: number;
  readonly y: number;
  readonly sheetMm: (lengthM: number) => number;
  /** Outside of the wall on the sheet. */
  readonly outsideMm: number;
}

const STUB_MM = 5;
const PIPE_HALF_MM = 0.9;
const INLET_RADIUS_MM = 1.8;

/** A point given along a bearing from the centre, and to the right of that bearing. */
function along({ x, y }: PlacedPlan, bearingDeg: number): (out: number, right: number) => Point {
  const angle = (bearingDeg * Math.PI) / 180;
  const east = Math.sin(angle);
  const north = Math.cos(angle);
  return (out, right) => [x + east * out + north * right, y - north * out + east * right];
}

/** Middle of a fitting on the sheet: the outer end of a pipe through the wall. */
export function fittingPoint(plan: PlacedPlan, fitting: Fitting): Point {
  const isInDome = fitting.kind === 'hatch' || fitting.kind === 'inlet';
  const out = isInDome ? plan.sheetMm(fitting.fromCentreM) : plan.outsideMm + STUB_MM;
  return along(plan, fitting.bearingDeg)(out, 0);
}

function pipe(plan: PlacedPlan, fitting: Fitting): string {
  const at = along(plan, fitting.bearingDeg);
  const inside = plan.sheetMm(fitting.fromCentreM);
  const end = plan.outsideMm + STUB_MM;
  const side = (right: number) => {
    const [x1, y1] = at(inside, right);
    const [x2, y2] = at(end, right);
    return line(x1, y1, x2, y2, PENS.edge);
  };
  const head: readonly Point[] =
    fitting.kind === 'tap'
      ? [at(end, -2), at(end, 2), at(end - 2.6, 0)]
      : [at(end - 0.4, -2), at(end - 0.4, 2), at(end + 2.4, 0)];
  const fill = fitting.kind === 'overflow' ? 'white' : 'black';
  return side(-PIPE_HALF_MM) + side(PIPE_HALF_MM) + polyline(head, PENS.thin, fill);
}

function hatch(plan: PlacedPlan, fitting: Fitting): string {
  const at = along(plan, fitting.bearingDeg);
  const out = plan.sheetMm(fitting.fromCentreM);
  const half = plan.sheetMm((fitting.clearSideM ?? 0) / 2);
  const corners = [
    at(out - half, -half),
    at(out - half, half),
    at(out + half, half),
    at(out + half, -half),
  ] as const;
  const [a, b, c, d] = corners;
  return [
    polyline(corners, PENS.cut, 'white'),
    line(a[0], a[1], c[0], c[1], PENS.thin),
    line(b[0], b[1], d[0], d[1], PENS.thin),
  ].join('');
}

function inlet(plan: PlacedPlan, fitting: Fitting): string {
  const [x, y] = fittingPoint(plan, fitting);
  const arm = INLET_RADIUS_MM + 0.9;
  return [
    circle(x, y, INLET_RADIUS_MM, PENS.cut, 'white'),
    line(x - arm, y, x + arm, y, PENS.thin),
    line(x, y - arm, x, y + arm, PENS.thin),
  ].join('');
}

/** The sign of a fitting in plan: each kind has its own shape. */
export function fittingMark(plan: PlacedPlan, fitting: Fitting): string {
  if (fitting.kind === 'hatch') return hatch(plan, fitting);
  return fitting.kind === 'inlet' ? inlet(plan, fitting) : pipe(plan, fitting);
}
