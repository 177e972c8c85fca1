import type { TankCheck } from '../design/check-tank.ts';
import { fitText, HEADING_SIZE_MM, LINE_PITCH_MM, wrapText } from './lettering.ts';
import { printedRatio } from './printed-values.ts';
import { type Box, escapeText, label, line, mm, PENS, rectangle } from './svg-markup.ts';
import type { DrawingTitle } from './tank-drawing-input.ts';

const SHEET_WIDTH_MM = 297;
const SHEET_HEIGHT_MM = 210;
const FRAME: Box = { x: 8, y: 7, width: 281, height: 196 };
const TITLE_HEIGHT_MM = 27;

/** Where the views of a sheet may lie: inside the frame, over the title block. */
export const WORK_AREA: Box = { ...FRAME, height: FRAME.height - TITLE_HEIGHT_MM };

export const NOT_FOR_CONSTRUCTION = 'Not for construction unless approved by a licensed engineer.';

/** What stands for a decision that no engineer has made. */
export const UNDECIDED = 'Undecided: no engineer has approved this revision.';

const FONTS = 'Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif';

const HATCHING = [
  '<defs>',
  '<pattern id="mortar" width="1.5" height="1.5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">',
  '<rect width="1.5" height="1.5" fill="white"/>',
  '<line x1="0" y1="0" x2="0" y2="1.5" stroke="black" stroke-width="0.3"/></pattern>',
  '<pattern id="concrete" width="3" height="3" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">',
  '<rect width="3" height="3" fill="white"/>',
  '<line x1="0" y1="0" x2="0" y2="3" stroke="black" stroke-width="0.3"/>',
  '<circle cx="1.5" cy="1.5" r="0.35" fill="black"/></pattern>',
  '</defs>',
].join('');

export interface SheetView {
  readonly title: string;
  /** The scale in words, or that there is none. */
  readonly scale: string;
  readonly body: string;
}

/** Heading of one view, at the top left of its space. */
export function viewHeading(x: number, y: number, text: string): string {
  return label({ x, y: y + 6, text, sizeMm: HEADING_SIZE_MM, isBold: true });
}

function titleBlock(
  view: SheetView,
  title: DrawingTitle,
  check: TankCheck,
  sheet: { readonly number: number; readonly count: number },
): string {
  const top = FRAME.y + FRAME.height - TITLE_HEIGHT_MM;
  const bottom = FRAME.y + FRAME.height;
  const columns = [
    { left: FRAME.x, width: 104 },
    { left: FRAME.x + 104, width: 100 },
    { left: FRAME.x + 204, width: 77 },
  ] as const;
  const [notice, design, sheetCell] = columns;
  const inside = (width: number) => width - 5;
  const rows = (left: number, texts: readonly string[], firstRow = 0) =>
    texts
      .map((text, row) =>
        label({ x: left + 2.5, y: top + 5 + (firstRow + row) * LINE_PITCH_MM, text }),
      )
      .join('');
  const heading = (left: number, width: number, text: string) =>
    label({
      x: left + 2.5,
      y: top + 6,
      text: fitText(text, inside(width), { sizeMm: HEADING_SIZE_MM, isBold: true }),
      sizeMm: HEADING_SIZE_MM,
      isBold: true,
    });
  const approval = wrapText(title.approval ?? UNDECIDED, inside(design.width));
  return [
    line(FRAME.x, top, FRAME.x + FRAME.width, top, PENS.cut),
    line(design.left, top, design.left, bottom, PENS.edge),
    line(sheetCell.left, top, sheetCell.left, bottom, PENS.edge),
    wrapText(NOT_FOR_CONSTRUCTION, inside(notice.width), { isBold: true })
      .map((text, row) =>
        label({ x: notice.left + 2.5, y: top + 5 + row * LINE_PITCH_MM, text, isBold: true }),
      )
      .join(''),
    rows(notice.left, wrapText(check.standingSentence, inside(notice.width)).slice(0, 3), 2),
    heading(design.left, design.width, `${title.designCode}   revision ${title.revision}`),
    rows(
      design.left,
      [
        fitText(title.designName, inside(design.width)),
        fitText(approval[0] ?? '', inside(design.width)),
        fitText(approval.slice(1).join(' '), inside(design.width)),
        `Checks: ${check.outcome}; at most ${printedRatio(check.maxUtilisationRatio)} of a limit used`,
      ],
      1.3,
    ),
    heading(sheetCell.left, sheetCell.width, view.title),
    rows(
      sheetCell.left,
      [
        view.scale,
        'All lengths in millimetres (mm)',
        `Sheet ${sheet.number} of ${sheet.count}, A4`,
        fitText(`hoopwright engine ${title.engineVersion}`, inside(sheetCell.width)),
      ],
      1.3,
    ),
  ].join('');
}

/** One A4 sheet, landscape, in millimetres, as a whole SVG file. */
export function drawSheet(
  view: SheetView,
  title: DrawingTitle,
  check: TankCheck,
  sheet: { readonly number: number; readonly count: number },
): string {
  const name = `${title.designCode} revision ${title.revision}: ${view.title}`;
  const size = `width="${SHEET_WIDTH_MM}mm" height="${SHEET_HEIGHT_MM}mm"`;
  const box = `viewBox="0 0 ${SHEET_WIDTH_MM} ${SHEET_HEIGHT_MM}"`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" ${size} ${box} font-family="${FONTS}" fill="black" data-sheet="${sheet.number}" data-sheets="${sheet.count}">`,
    `<title>${escapeText(name)}</title>`,
    HATCHING,
    `<rect x="0" y="0" width="${mm(SHEET_WIDTH_MM)}" height="${mm(SHEET_HEIGHT_MM)}" fill="white"/>`,
    rectangle(FRAME, PENS.cut),
    view.body,
    titleBlock(view, title, check, sheet),
    '</svg>\n',
  ].join('\n');
}
