/** Capitals of every text on a sheet are at least this high when printed. */
export const LEAST_CAPITAL_HEIGHT_MM = 2.5;

/** Height of capitals over the size of the font; the common sans-serif fonts lie above it. */
const CAPITAL_HEIGHT_RATIO = 0.7;

/** Font sizes [mm]. */
export const TEXT_SIZE_MM = 3.6;
export const HEADING_SIZE_MM = 5;

/** From one base line to the next, in lists and tables. */
export const LINE_PITCH_MM = 4.4;

/** From the middle of the capitals down to their base line. */
export const HALF_CAPITAL_MM = (TEXT_SIZE_MM * CAPITAL_HEIGHT_RATIO) / 2;

/** Widths in ems, on the high side for DejaVu Sans, the widest of the common sans-serif fonts. */
const WIDTHS_EM: readonly (readonly [characters: string, em: number])[] = [
  ["ijlIJ.,:;'| /\\", 0.34],
  ['ftr()[]-!²³', 0.42],
  ['abcdeghknopqsuvxyz0123456789?_*$"`°', 0.64],
  ['ABCDEFGHKLNPRSTUVXYZ&', 0.78],
  ['mwMWOQ@%…×+<>=~#{}^', 1],
];

const OTHER_EM = 1.1;
const BOLD_RATIO = 1.13;

const EM_BY_CHARACTER: ReadonlyMap<string, number> = new Map(
  WIDTHS_EM.flatMap(([characters, em]) => [...characters].map((each) => [each, em] as const)),
);

export interface Lettering {
  readonly sizeMm?: number | undefined;
  readonly isBold?: boolean | undefined;
}

/**
 * Width that a line of text needs on the sheet, on the high side for the common sans-serif fonts,
 * so that what is laid out by it stays apart in whichever of them the reader has.
 *
 * @returns width [mm]
 * @source iso-3098
 */
export function textWidthMm(text: string, lettering: Lettering = {}): number {
  const { sizeMm = TEXT_SIZE_MM, isBold = false } = lettering;
  let em = 0;
  for (const character of text) em += EM_BY_CHARACTER.get(character) ?? OTHER_EM;
  return em * sizeMm * (isBold ? BOLD_RATIO : 1);
}

/** The text, or as much of it as the width takes, with an ellipsis in place of the rest. */
export function fitText(text: string, widthMm: number, lettering: Lettering = {}): string {
  if (textWidthMm(text, lettering) <= widthMm) return text;
  const characters = [...text];
  while (characters.length > 0) {
    characters.pop();
    const shortened = `${characters.join('').trimEnd()}…`;
    if (textWidthMm(shortened, lettering) <= widthMm) return shortened;
  }
  return '';
}

/** Lines of text no wider than the width; a word that is wider by itself is broken. */
export function wrapText(text: string, widthMm: number, lettering: Lettering = {}): string[] {
  const lines: string[] = [];
  let line = '';
  const fits = (candidate: string) => textWidthMm(candidate, lettering) <= widthMm;
  for (const word of text.split(/\s+/).filter((each) => each !== '')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (line !== '') lines.push(line);
    line = '';
    for (const character of word) {
      if (line !== '' && !fits(line + character)) {
        lines.push(line);
        line = '';
      }
      line += character;
    }
  }
  return line === '' ? lines : [...lines, line];
}
