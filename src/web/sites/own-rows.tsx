import type { ImportError } from '../../../shared/contract/file-import.ts';
import { Mark } from '../parts/mark.tsx';
import { Scrolled } from '../parts/scrolled.tsx';
import type { CsvRow } from './csv-rows.ts';
import { say } from './say.ts';

/** Rows that are shown with their errors; the file of errors holds all. */
const MOST_ROWS = 100;

interface OwnRowsProps {
  readonly rows: readonly CsvRow[];
  readonly errors: readonly ImportError[];
}

/** The rows that have errors as they stand in the file, what is wrong below each wrong cell. */
export function OwnRows({ rows, errors }: OwnRowsProps) {
  const [head, ...body] = rows;
  const columns = head?.cells ?? [];
  const byLine = new Map<number, ImportError[]>();
  for (const error of errors) {
    const known = byLine.get(error.line);
    if (known) known.push(error);
    else byLine.set(error.line, [error]);
  }
  const shown = [...(head ? [head] : []), ...body]
    .filter(({ line }) => byLine.has(line))
    .slice(0, MOST_ROWS);
  return (
    <Scrolled label={say('own-rows')}>
      <table class="own-rows">
        <caption class="field-label">{say('own-rows')}</caption>
        <thead>
          <tr>
            <th scope="col">{say('line')}</th>
            {columns.map((column) => (
              <th key={column} scope="col">
                {column}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {shown.map(({ line, cells }) => (
            <Row
              key={line}
              line={line}
              cells={cells}
              columns={columns}
              errors={byLine.get(line) ?? []}
            />
          ))}
        </tbody>
      </table>
    </Scrolled>
  );
}

interface RowProps extends CsvRow {
  readonly columns: readonly string[];
  readonly errors: readonly ImportError[];
}

function Row({ line, cells, columns, errors }: RowProps) {
  const elsewhere = errors.filter(({ column }) => !columns.includes(column));
  return (
    <tr>
      <th scope="row">
        {line}
        <Wrong errors={elsewhere} />
      </th>
      {columns.map((column, index) => {
        const own = errors.filter((error) => error.column === column);
        return (
          <td key={column} class={own.length > 0 ? 'wrong' : undefined}>
            {cells[index]}
            <Wrong errors={own} />
          </td>
        );
      })}
    </tr>
  );
}

function Wrong({ errors }: { readonly errors: readonly ImportError[] }) {
  return (
    <>
      {errors.map(({ column, code, hint }) => (
        <span key={`${column} ${code}`} class="hint-of-cell" lang="en">
          <Mark of="problem" />
          {hint}
        </span>
      ))}
    </>
  );
}
