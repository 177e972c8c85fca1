import { EngineError } from '../errors.ts';
import type { LpOutcome, SolveLp } from './cutting-types.ts';

export interface LpTerm {
  readonly column: string;
  readonly coefficient: number;
}

export interface LpModel {
  readonly objective: readonly LpTerm[];
  readonly rows: readonly {
    readonly terms: readonly LpTerm[];
    readonly sense: '>=' | '<=' | '=';
    readonly rightSide: number;
  }[];
  readonly upperBounds: readonly { readonly column: string; readonly atMost: number }[];
  readonly isInteger: boolean;
}

/** Terms on one line; LP readers limit the length of a line. */
const TERMS_PER_LINE = 8;

function expression(terms: readonly LpTerm[]): string {
  const parts = terms.map(({ column, coefficient }) =>
    coefficient < 0 ? `- ${-coefficient} ${column}` : `+ ${coefficient} ${column}`,
  );
  const lines: string[] = [];
  for (let at = 0; at < parts.length; at += TERMS_PER_LINE) {
    lines.push(parts.slice(at, at + TERMS_PER_LINE).join(' '));
  }
  return lines.join('\n  ');
}

/**
 * Columns of a model in the order of their first use.
 *
 * @source cplex-lp-format
 */
export function lpColumns(model: LpModel): string[] {
  const columns = new Set(model.objective.map((term) => term.column));
  for (const row of model.rows) for (const { column } of row.terms) columns.add(column);
  return [...columns];
}

/**
 * A minimising model as CPLEX LP text; columns are not negative.
 *
 * @throws {EngineError} `missing-data` when a row or the objective is empty
 * @source cplex-lp-format
 */
export function lpText(model: LpModel): string {
  if (model.objective.length === 0 || model.rows.some((row) => row.terms.length === 0)) {
    throw new EngineError('missing-data', 'model', 0, 'has an empty row or objective');
  }
  const rows = model.rows.map(
    (row, index) => ` r${index}: ${expression(row.terms)} ${row.sense} ${row.rightSide}`,
  );
  const bounds = model.upperBounds.map(({ column, atMost }) => ` ${column} <= ${atMost}`);
  return [
    'Minimize',
    ` obj: ${expression(model.objective)}`,
    'Subject To',
    ...rows,
    ...(bounds.length === 0 ? [] : ['Bounds', ...bounds]),
    ...(model.isInteger ? ['General', ...lpColumns(model).map((column) => ` ${column}`)] : []),
    'End',
    '',
  ].join('\n');
}

const STATUSES = ['Optimal', 'Infeasible', 'Time limit reached'];

/**
 * Solves a model and refuses an answer to another one: a text that a solver could not read comes
 * back as an empty model without an error, so status and number of columns are checked.
 *
 * @throws {EngineError} `inconsistent` naming status or columns
 * @source cplex-lp-format
 */
export function solveModel(model: LpModel, solve: SolveLp, timeLimitS: number): LpOutcome {
  const outcome = solve(lpText(model), timeLimitS);
  if (!STATUSES.includes(outcome.status)) {
    throw new EngineError(
      'inconsistent',
      'solver.status',
      outcome.status,
      `must be one of ${STATUSES.join(', ')}`,
    );
  }
  const sent = lpColumns(model).length;
  const returned = Object.keys(outcome.primalByColumn).length;
  if (returned !== sent) {
    throw new EngineError('inconsistent', 'solver.columns', returned, `${sent} were sent`);
  }
  return outcome;
}
