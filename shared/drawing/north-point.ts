import { label, line, PENS, polyline } from './svg-markup.ts';

const LENGTH_MM = 13;

/** An arrow to north, which is up on every plan, with its middle foot at (x, y). */
export function northPoint(x: number, y: number): string {
  const tip = y - LENGTH_MM;
  return [
    line(x, y, x, tip, PENS.edge),
    polyline(
      [
        [x, tip],
        [x - 1.8, tip + 5],
        [x, tip + 4],
      ],
      PENS.thin,
      'black',
    ),
    polyline(
      [
        [x, tip],
        [x + 1.8, tip + 5],
        [x, tip + 4],
      ],
      PENS.thin,
      'white',
    ),
    label({ x, y: tip - 1.2, text: 'N', anchor: 'middle', isBold: true }),
  ].join('');
}
