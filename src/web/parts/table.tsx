import type { ComponentChildren } from 'preact';

export interface Column<Row> {
  readonly title: string;
  readonly cell: (row: Row) => ComponentChildren;
  readonly isNumber?: boolean;
  /** The cell that names its row. */
  readonly isHead?: boolean;
}

interface TableProps<Row> {
  readonly caption: string;
  readonly columns: readonly Column<Row>[];
  readonly rows: readonly Row[];
  readonly keyOf: (row: Row) => string;
  /** The caption stays in the page for screen readers, but is not drawn. */
  readonly hidesCaption?: boolean;
  /** A narrow table stays a table on a phone. */
  readonly isNarrow?: boolean;
}

/** A table that turns into cards on a phone, each value beside the name of its column. */
export function Table<Row>(props: TableProps<Row>) {
  const { caption, columns, rows, keyOf, hidesCaption, isNarrow } = props;
  return (
    <div class="wide">
      <table data-stacks={isNarrow ? undefined : ''}>
        <caption class={hidesCaption ? 'unseen' : 'field-label'}>{caption}</caption>
        <thead>
          <tr>
            {columns.map(({ title, isNumber }) => (
              <th key={title} scope="col" class={isNumber ? 'number' : undefined}>
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={keyOf(row)}>
              {columns.map((column) => (
                <Cell key={column.title} column={column} row={row} />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Cell<Row>({ column, row }: { column: Column<Row>; row: Row }) {
  const { title, cell, isNumber, isHead } = column;
  const shared = { 'data-column': title, class: isNumber ? 'number' : undefined };
  return isHead ? (
    <th scope="row" {...shared}>
      <span>{cell(row)}</span>
    </th>
  ) : (
    <td {...shared}>
      <span>{cell(row)}</span>
    </td>
  );
}
