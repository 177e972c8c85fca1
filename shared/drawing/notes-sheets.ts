import type { TankCheck } from '../design/check-tank.ts';
import { LINE_PITCH_MM, wrapText } from './lettering.ts';
import { type SheetView, viewHeading, WORK_AREA } from './sheet-frame.ts';
import { label } from './svg-markup.ts';

const TITLE = 'Cautions and review';
/** Short enough for the title block. */
const CONTINUED_TITLE = 'Cautions, continued';
const COLUMN_COUNT = 2;
const MARGIN_MM = 4;
const HEADING_MM = 9;
const COLUMN_GAP_MM = 8;
const COLUMN_MM =
  (WORK_AREA.width - 2 * MARGIN_MM - (COLUMN_COUNT - 1) * COLUMN_GAP_MM) / COLUMN_COUNT;
const LINES_A_COLUMN = Math.floor((WORK_AREA.height - HEADING_MM - MARGIN_MM) / LINE_PITCH_MM);

interface TextLine {
  readonly text: string;
  readonly isBold: boolean;
}

function paragraph(text: string): TextLine[] {
  return wrapText(text, COLUMN_MM).map((line) => ({ text: line, isBold: false }));
}

function heading(text: string): TextLine[] {
  return wrapText(text, COLUMN_MM, { isBold: true }).map((line) => ({ text: line, isBold: true }));
}

const noted = (check: TankCheck) =>
  check.checks
    .filter(({ outcome }) => outcome !== 'pass')
    .map(
      ({ title, outcome, utilisationRatio }) =>
        `${outcome}: ${title}, ${utilisationRatio.toFixed(3)} of the limit.`,
    );

/** Paragraphs of the sheet; each keeps its lines together, a heading those of what follows. */
function paragraphs(check: TankCheck, remarks: readonly string[]): TextLine[][] {
  const section = (title: string, texts: readonly string[]) =>
    texts.map((text, index) => [...(index === 0 ? heading(title) : []), ...paragraph(text)]);
  return [
    ...section('Remarks', remarks),
    ...section('Checks that do not pass', noted(check)),
    ...section(
      'An engineer must look, because',
      check.reviewTriggers.map(({ reason }) => reason),
    ),
    ...section(
      'Cautions',
      check.cautions.map(({ text }) => text),
    ),
  ];
}

/** Columns of lines: a paragraph moves on whole, with an empty line between two. */
function columns(blocks: readonly TextLine[][]): TextLine[][] {
  const filled: TextLine[][] = [[]];
  for (const block of blocks) {
    let column = filled.at(-1) ?? [];
    if (column.length + 1 + block.length > LINES_A_COLUMN) {
      column = [];
      filled.push(column);
    }
    if (column.length > 0) column.push({ text: '', isBold: false });
    column.push(...block.slice(0, LINES_A_COLUMN));
  }
  return filled;
}

/**
 * Sheets with everything that a builder must be told: remarks, checks that do not pass, reasons for
 * an engineer's review and every caution of the design.
 *
 * @source site-safety-practice
 */
export function notesSheets(check: TankCheck, remarks: readonly string[]): SheetView[] {
  const all = columns(paragraphs(check, remarks));
  const top = WORK_AREA.y + HEADING_MM;
  return Array.from({ length: Math.ceil(all.length / COLUMN_COUNT) }, (_, sheet) => {
    const shown = all.slice(sheet * COLUMN_COUNT, (sheet + 1) * COLUMN_COUNT);
    const texts = shown.map((lines, column) => {
      const x = WORK_AREA.x + MARGIN_MM + column * (COLUMN_MM + COLUMN_GAP_MM);
      return lines
        .map((line, row) =>
          label({ x, y: top + (row + 0.5) * LINE_PITCH_MM, ...line, isMiddle: true }),
        )
        .join('');
    });
    const title = sheet === 0 ? TITLE : CONTINUED_TITLE;
    return {
      title,
      scale: 'Not to scale',
      body: viewHeading(WORK_AREA.x + MARGIN_MM - 1, WORK_AREA.y, title) + texts.join(''),
    };
  });
}
