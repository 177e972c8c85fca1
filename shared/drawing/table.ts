import { LINE_PITCH_MM, textWidthMm } from './lettering.ts';
import { label, line, PENS } from './svg-markup.ts';

export interface TableColumn {
  /** Lines of the heading, the unit last. */
  readonly heading: readonly string[];
  readonly align: 'start' | 'end';
}

export interface TableLayout {
  readonly widthMm: number;
  readonly headingHeightMm: number;
  readonly columnWidthsMm: readonly number[];
}

const GAP_MM = 2.6;
const RULE_GAP_MM = 1.2;
/** Texts stand this much above the middle of their row, so that no letter hangs onto its rule. */
const TEXT_RAISE_MM = 0.3;

/** How wide a table becomes: every column as wide as its widest text. */
export function tableLayout(
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
): TableLayout {
  const columnWidthsMm = columns.map((column, index) => {
    const texts = [...column.heading, ...rows.map((row) => row[index] ?? '')];
    return texts.reduce((widest, text) => Math.max(widest, textWidthMm(text)), 0) + GAP_MM;
  });
  const lineCount = Math.max(1, ...columns.map((column) => column.heading.length));
  return {
    widthMm: columnWidthsMm.reduce((sum, width) => sum + width, 0),
    headingHeightMm: lineCount * LINE_PITCH_MM + 2 * RULE_GAP_MM,
    columnWidthsMm,
  };
}

export interface DrawnTable {
  readonly svg: string;
  readonly bottom: number;
  /** Middle of each row. */
  readonly rowMiddles: readonly number[];
}

/** How many rows a table has room for in a height. */
export function tableRowCount(layout: TableLayout, heightMm: number): number {
  return Math.max(0, Math.floor((heightMm - layout.headingHeightMm) / LINE_PITCH_MM));
}

/** A table with ruled rows; nothing in it is told by colour. */
export function drawTable(
  x: number,
  top: number,
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
  layout: TableLayout,
): DrawnTable {
  const headingBottom = top + layout.headingHeightMm;
  const right = x + layout.widthMm;
  const parts = [line(x, top, right, top, PENS.edge)];
  const cell = (text: string, index: number, left: number, y: number) => {
    const isEnd = columns[index]?.align === 'end';
    const width = layout.columnWidthsMm[index] ?? 0;
    const at = isEnd ? left + width - GAP_MM / 2 : left + GAP_MM / 2;
    return label({
      x: at,
      y: y - TEXT_RAISE_MM,
      text,
      anchor: isEnd ? 'end' : 'start',
      isMiddle: true,
    });
  };
  const lefts = layout.columnWidthsMm.map((_, index) =>
    layout.columnWidthsMm.slice(0, index).reduce((sum, width) => sum + width, x),
  );
  columns.forEach(({ heading }, index) => {
    heading.forEach((text, row) => {
      const y = headingBottom - RULE_GAP_MM - (heading.length - row - 0.5) * LINE_PITCH_MM;
      parts.push(cell(text, index, lefts[index] ?? x, y));
    });
  });
  parts.push(line(x, headingBottom, right, headingBottom, PENS.edge));
  const rowMiddles = rows.map((row, number) => {
    const bottom = headingBottom + (number + 1) * LINE_PITCH_MM;
    const middle = bottom - LINE_PITCH_MM / 2;
    row.forEach((text, index) => {
      parts.push(cell(text, index, lefts[index] ?? x, middle));
    });
    const isLast = number === rows.length - 1;
    parts.push(line(x, bottom, right, bottom, isLast ? PENS.edge : PENS.row));
    return middle;
  });
  return { svg: parts.join(''), bottom: headingBottom + rows.length * LINE_PITCH_MM, rowMiddles };
}
