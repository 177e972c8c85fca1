import font from './dejavu-sans-widths.json' with { type: 'json' };

export interface DrawnText {
  readonly text: string;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly sizeMm: number;
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&amp;': '&',
  '&lt;': '<',
  '&gt;': '>',
  '&quot;': '"',
  '&#39;': "'",
};

/** Share of the font size from the base line to the top of the highest, and to the lowest, mark. */
const ABOVE_RATIO = 0.76;
const BELOW_RATIO = 0.24;

const attribute = (attributes: string, name: string): string =>
  new RegExp(`(?:^| )${name}="([^"]*)"`).exec(attributes)?.[1] ?? '';

/** Width in DejaVu Sans, the widest of the fonts that a sheet names. */
function widthMm(text: string, sizeMm: number, isBold: boolean): number {
  const widths: Readonly<Record<string, number>> = isBold ? font.bold : font.regular;
  let units = 0;
  for (const character of text) units += widths[character] ?? font.unitsPerEm;
  return (units / font.unitsPerEm) * sizeMm;
}

/** Every text of a sheet with the box that it fills. */
export function drawnTexts(svg: string): DrawnText[] {
  return [...svg.matchAll(/<text ([^>]*)>([^<]*)<\/text>/g)].map(
    ([, attributes = '', raw = '']) => {
      const text = raw.replace(/&(?:amp|lt|gt|quot|#39);/g, (entity) => ENTITIES[entity] ?? '');
      const x = Number(attribute(attributes, 'x'));
      const y = Number(attribute(attributes, 'y'));
      const sizeMm = Number(attribute(attributes, 'font-size'));
      const width = widthMm(text, sizeMm, attribute(attributes, 'font-weight') === 'bold');
      const anchor = attribute(attributes, 'text-anchor');
      const left = anchor === 'middle' ? x - width / 2 : anchor === 'end' ? x - width : x;
      const top = y - ABOVE_RATIO * sizeMm;
      return { text, left, right: left + width, top, bottom: y + BELOW_RATIO * sizeMm, sizeMm };
    },
  );
}

/** Pairs of texts that lie on each other. */
export function overlaps(texts: readonly DrawnText[]): string[] {
  return texts.flatMap((one, index) =>
    texts
      .slice(index + 1)
      .filter(
        (other) =>
          one.left < other.right &&
          other.left < one.right &&
          one.top < other.bottom &&
          other.top < one.bottom,
      )
      .map((other) => `"${one.text}" on "${other.text}"`),
  );
}

/** Marks that hang below the base line in the common sans-serif fonts. */
const HANGING = /[gjpqyQ,;()[\]|_]/;

/** Level lines that touch a text, or come nearer to it than a gap [mm] above or below. */
export function crossings(svg: string, texts: readonly DrawnText[], gapMm: number): string[] {
  const lines = [...svg.matchAll(/<line ([^>]*)\/>/g)]
    .map(([, attributes = '']) => ({
      x1: Number(attribute(attributes, 'x1')),
      y1: Number(attribute(attributes, 'y1')),
      x2: Number(attribute(attributes, 'x2')),
      y2: Number(attribute(attributes, 'y2')),
    }))
    .filter(({ y1, y2 }) => y1 === y2);
  const lowest = ({ text, bottom, sizeMm }: DrawnText) =>
    HANGING.test(text) ? bottom : bottom - BELOW_RATIO * sizeMm;
  return texts.flatMap((text) =>
    lines
      .filter(
        ({ x1, x2, y1 }) =>
          Math.min(x1, x2) < text.right &&
          text.left < Math.max(x1, x2) &&
          text.top - gapMm < y1 &&
          y1 < lowest(text) + gapMm,
      )
      .map(({ y1 }) => `"${text.text}" at the line ${y1 - lowest(text)} mm below it`),
  );
}

/** All that a sheet says, line after line. */
export const words = (svg: string): string =>
  drawnTexts(svg)
    .map(({ text }) => text)
    .join(' ');
