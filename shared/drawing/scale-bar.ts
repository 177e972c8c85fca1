import { scaleBarLengthMm } from './drawing-scale.ts';
import { label, PENS, rectangle } from './svg-markup.ts';

/** A bar of round length as built, so that a copy of another size can still be measured. */
export function scaleBar(x: number, y: number, scale: number): string {
  const builtMm = scaleBarLengthMm(scale);
  const half = builtMm / scale / 2;
  const bar = { y: y - 0.7, width: half, height: 1.4 };
  return [
    rectangle({ x, ...bar }, PENS.thin, 'black'),
    rectangle({ x: x + half, ...bar }, PENS.thin, 'white'),
    label({ x: x - 1.5, y, text: '0', anchor: 'end', isMiddle: true }),
    label({ x: x + 2 * half + 1.5, y, text: `${builtMm} mm`, isMiddle: true }),
  ].join('');
}
