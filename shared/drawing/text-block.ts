import { LINE_PITCH_MM, wrapText } from './lettering.ts';
import { type Box, label, line, PENS, rectangle } from './svg-markup.ts';

export interface DrawnBlock {
  readonly svg: string;
  readonly heightMm: number;
}

const PARAGRAPH_GAP_MM = 1.4;

/** Sentences under each other, each wrapped to the width and set apart from the next. */
export function textBlock(
  x: number,
  top: number,
  widthMm: number,
  sentences: readonly string[],
): DrawnBlock {
  let y = top;
  const parts = sentences.map((sentence) => {
    const lines = wrapText(sentence, widthMm).map((text) => {
      y += LINE_PITCH_MM;
      return label({ x, y: y - LINE_PITCH_MM / 2, text, isMiddle: true });
    });
    y += PARAGRAPH_GAP_MM;
    return lines.join('');
  });
  return { svg: parts.join(''), heightMm: y - top };
}

export type Swatch = 'mortar' | 'concrete' | 'boards' | 'full band' | 'open band';

const SWATCH_MM = { width: 9, height: 3 } as const;

function swatch(kind: Swatch, box: Box): string {
  const middle = box.y + box.height / 2;
  const band = { x: box.x + 3.5, y: box.y, width: 1.6, height: box.height };
  switch (kind) {
    case 'mortar':
      return rectangle(box, PENS.cut, 'url(#mortar)');
    case 'concrete':
      return rectangle(box, PENS.cut, 'url(#concrete)');
    case 'boards':
      return line(box.x, middle, box.x + box.width, middle, PENS.hidden);
    case 'full band':
      return rectangle(band, PENS.thin, 'black');
    case 'open band':
      return rectangle(band, PENS.thin, 'white');
  }
}

/** What each hatching and mark stands for. */
export function legend(
  x: number,
  top: number,
  entries: readonly (readonly [Swatch, string])[],
): DrawnBlock {
  const pitch = LINE_PITCH_MM + 0.4;
  const parts = entries.map(([kind, text], row) => {
    const middle = top + (row + 0.5) * pitch;
    const box = { x, y: middle - SWATCH_MM.height / 2, ...SWATCH_MM };
    return (
      swatch(kind, box) + label({ x: x + SWATCH_MM.width + 2.5, y: middle, text, isMiddle: true })
    );
  });
  return { svg: parts.join(''), heightMm: entries.length * pitch };
}
