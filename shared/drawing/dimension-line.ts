import { LINE_PITCH_MM } from './lettering.ts';
import { spreadLabels } from './spread-labels.ts';
import { label, line, PENS } from './svg-markup.ts';

const OVERRUN_MM = 1.2;
const TICK_MM = 0.9;
const TEXT_GAP_MM = 1;
/** From the base line of a text down to the line that it stands on. */
const TEXT_RISE_MM = 1.3;

function tick(x: number, y: number): string {
  return line(x - TICK_MM, y + TICK_MM, x + TICK_MM, y - TICK_MM, PENS.edge);
}

/**
 * A level dimension below what it measures: extension lines, a line with a stroke at each end, and
 * the text over its middle, or left of the line where the length is too short for the text.
 *
 * @param leftOf what the text must lie left of; over the middle when left out
 */
export function levelDimension(
  ends: { readonly left: number; readonly right: number; readonly from: number },
  y: number,
  text: string,
  leftOf?: number,
): string {
  const { left, right, from } = ends;
  const start = leftOf === undefined ? left : Math.min(left - 4, leftOf);
  const written =
    leftOf !== undefined
      ? label({ x: start - TEXT_GAP_MM, y, text, anchor: 'end', isMiddle: true, isClear: true })
      : label({
          x: (left + right) / 2,
          y: y - TEXT_RISE_MM,
          text,
          anchor: 'middle',
          isClear: true,
        });
  return [
    line(left, from, left, y + OVERRUN_MM, PENS.thin),
    line(right, from, right, y + OVERRUN_MM, PENS.thin),
    line(start, y, right, y, PENS.thin),
    tick(left, y),
    tick(right, y),
    written,
  ].join('');
}

export interface UprightSpan {
  readonly top: number;
  readonly bottom: number;
  /** Where the extension lines start, at the thing measured. */
  readonly from: number;
  readonly text: string;
}

/**
 * A chain of upright dimensions left of what they measure, their texts level and left of the line,
 * moved apart where the spans are too short for them.
 */
export function uprightDimensions(spans: readonly UprightSpan[], x: number): string {
  const middles = spreadLabels(
    spans.map(({ top, bottom }) => (top + bottom) / 2),
    LINE_PITCH_MM,
  );
  return spans
    .map(({ top, bottom, from, text }, index) =>
      [
        line(from, top, x - OVERRUN_MM, top, PENS.thin),
        line(from, bottom, x - OVERRUN_MM, bottom, PENS.thin),
        line(x, top, x, bottom, PENS.thin),
        tick(x, top),
        tick(x, bottom),
        label({
          x: x - 1.6,
          y: middles[index] ?? top,
          text,
          anchor: 'end',
          isMiddle: true,
          isClear: true,
        }),
      ].join(''),
    )
    .join('');
}
