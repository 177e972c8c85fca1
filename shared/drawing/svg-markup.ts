import { requireFinite } from '../errors.ts';
import { HALF_CAPITAL_MM, TEXT_SIZE_MM, textWidthMm } from './lettering.ts';

/** A line of the drawing: width and, for broken lines, dashes and gaps [mm]. */
export interface Pen {
  readonly widthMm: number;
  readonly dashMm?: readonly number[];
}

/** Kinds of lines are told apart by width and dashes, never by colour. */
export const PENS = {
  cut: { widthMm: 0.5 },
  edge: { widthMm: 0.35 },
  thin: { widthMm: 0.18 },
  hidden: { widthMm: 0.35, dashMm: [2.4, 1.2] },
  axis: { widthMm: 0.18, dashMm: [6, 1.2, 0.8, 1.2] },
  row: { widthMm: 0.1 },
} as const satisfies Readonly<Record<string, Pen>>;

export type Fill = 'none' | 'white' | 'black' | 'url(#mortar)' | 'url(#concrete)';

/** What may stand in XML 1.0, without the marks that turn the direction of text. */
const NOT_PRINTED =
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is taken out
  /[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufffe\uffff]/g;

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/**
 * Text as it may stand in an SVG file: markup becomes text, control characters become spaces and
 * half characters a question mark.
 *
 * @source iso-3098
 */
export function escapeText(text: string): string {
  return text
    .replace(/\p{Cs}/gu, '?')
    .replace(NOT_PRINTED, ' ')
    .replace(/[&<>"']/g, (character) => ENTITIES[character] ?? '');
}

/** A length on the sheet, to a hundredth of a millimetre. */
export function mm(value: number): string {
  requireFinite({ sheetLengthMm: value });
  const rounded = Math.round(value * 100) / 100;
  return String(Object.is(rounded, -0) ? 0 : rounded);
}

function stroke(pen: Pen): string {
  const dashes = pen.dashMm ? ` stroke-dasharray="${pen.dashMm.map(mm).join(' ')}"` : '';
  return `stroke="black" stroke-width="${pen.widthMm}"${dashes}`;
}

export function line(x1: number, y1: number, x2: number, y2: number, pen: Pen): string {
  return `<line x1="${mm(x1)}" y1="${mm(y1)}" x2="${mm(x2)}" y2="${mm(y2)}" ${stroke(pen)}/>`;
}

export type Point = readonly [x: number, y: number];

export function polyline(points: readonly Point[], pen: Pen, fill: Fill = 'none'): string {
  const list = points.map(([x, y]) => `${mm(x)},${mm(y)}`).join(' ');
  return fill === 'none'
    ? `<polyline points="${list}" fill="none" ${stroke(pen)}/>`
    : `<polygon points="${list}" fill="${fill}" ${stroke(pen)}/>`;
}

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export function rectangle({ x, y, width, height }: Box, pen: Pen, fill: Fill = 'none'): string {
  const size = `width="${mm(width)}" height="${mm(height)}"`;
  return `<rect x="${mm(x)}" y="${mm(y)}" ${size} fill="${fill}" ${stroke(pen)}/>`;
}

export function circle(x: number, y: number, radius: number, pen: Pen, fill: Fill = 'none') {
  return `<circle cx="${mm(x)}" cy="${mm(y)}" r="${mm(radius)}" fill="${fill}" ${stroke(pen)}/>`;
}

export function path(commands: string, pen: Pen, fill: Fill = 'none'): string {
  return `<path d="${commands}" fill="${fill}" ${stroke(pen)}/>`;
}

export interface Label {
  readonly x: number;
  /** Base line of the text, or the middle of its capitals when `isMiddle`. */
  readonly y: number;
  readonly text: string;
  readonly anchor?: 'start' | 'middle' | 'end' | undefined;
  readonly isMiddle?: boolean | undefined;
  readonly sizeMm?: number | undefined;
  readonly isBold?: boolean | undefined;
  /** True where lines run behind the text: it then stands on a white ground. */
  readonly isClear?: boolean | undefined;
}

/** One line of text; whatever it says, it shows as text. */
export function label(spec: Label): string {
  const { x, text, anchor = 'start', sizeMm = TEXT_SIZE_MM, isBold = false } = spec;
  if (text === '') return '';
  const y = spec.y + (spec.isMiddle ? (HALF_CAPITAL_MM * sizeMm) / TEXT_SIZE_MM : 0);
  const weight = isBold ? ' font-weight="bold"' : '';
  const place = `x="${mm(x)}" y="${mm(y)}" font-size="${sizeMm}" text-anchor="${anchor}"`;
  const ground = spec.isClear ? whiteGround({ ...spec, y }) : '';
  return `${ground}<text ${place}${weight}>${escapeText(text)}</text>`;
}

function whiteGround({ x, y, text, anchor, sizeMm = TEXT_SIZE_MM, isBold }: Label): string {
  const width = textWidthMm(text, { sizeMm, isBold });
  const left = anchor === 'middle' ? x - width / 2 : anchor === 'end' ? x - width : x;
  const size = `width="${mm(width)}" height="${mm(sizeMm * 1.05)}"`;
  return `<rect x="${mm(left)}" y="${mm(y - sizeMm * 0.8)}" ${size} fill="white"/>`;
}
