/** One row of a CSV file with the line on which it begins. */
export interface CsvRow {
  readonly line: number;
  readonly cells: readonly string[];
}

/**
 * The rows of a CSV file (RFC 4180; comma, semicolon or tab, as in its first line), to show them as
 * they stand. What they mean the service alone decides.
 */
export function csvRows(content: string): CsvRow[] {
  const text = content.replace(/^\uFEFF/, '');
  const firstLine = text.slice(0, text.search(/[\r\n]|$/));
  const separator = [';', '\t'].find((each) => firstLine.includes(each)) ?? ',';
  const rows: CsvRow[] = [];
  let cells: string[] = [];
  let cell = '';
  let isQuoted = false;
  let line = 1;
  let beganOn = 1;
  const endCell = () => {
    cells.push(cell);
    cell = '';
  };
  const endRow = () => {
    endCell();
    rows.push({ line: beganOn, cells });
    cells = [];
  };
  for (let at = 0; at < text.length; at++) {
    const sign = text[at] ?? '';
    if (sign === '\n') line += 1;
    if (isQuoted) {
      if (sign !== '"') cell += sign;
      else if (text[at + 1] === '"') {
        cell += '"';
        at += 1;
      } else isQuoted = false;
    } else if (sign === '"' && cell === '') isQuoted = true;
    else if (sign === separator) endCell();
    else if (sign === '\n') {
      endRow();
      beganOn = line;
    } else if (sign !== '\r') cell += sign;
  }
  if (cell !== '' || cells.length > 0) endRow();
  return rows;
}
