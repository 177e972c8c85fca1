import { type SheetView, viewHeading, WORK_AREA } from './sheet-frame.ts';
import { drawTable, type TableColumn, tableLayout, tableRowCount } from './table.ts';

const HEADING_MM = 9;
const MARGIN_MM = 3;
const BETWEEN_MM = 10;

/** Sheets for the rows of a table that its own sheet has no room for, in columns side by side. */
export function continuedTables(
  title: string,
  columns: readonly TableColumn[],
  rows: readonly (readonly string[])[],
): SheetView[] {
  if (rows.length === 0) return [];
  const layout = tableLayout(columns, rows);
  const perTable = tableRowCount(layout, WORK_AREA.height - HEADING_MM - MARGIN_MM);
  const room = WORK_AREA.width - 2 * MARGIN_MM + BETWEEN_MM;
  const perSheet = Math.max(1, Math.floor(room / (layout.widthMm + BETWEEN_MM)));
  const tables = Array.from({ length: Math.ceil(rows.length / perTable) }, (_, index) =>
    rows.slice(index * perTable, (index + 1) * perTable),
  );
  return Array.from({ length: Math.ceil(tables.length / perSheet) }, (_, sheet) => {
    const shown = tables.slice(sheet * perSheet, (sheet + 1) * perSheet);
    const drawn = shown.map((some, index) => {
      const x = WORK_AREA.x + MARGIN_MM + index * (layout.widthMm + BETWEEN_MM);
      return drawTable(x, WORK_AREA.y + HEADING_MM, columns, some, layout).svg;
    });
    const heading = viewHeading(WORK_AREA.x + MARGIN_MM, WORK_AREA.y, title);
    return { title, scale: 'Not to scale', body: heading + drawn.join('') };
  });
}
