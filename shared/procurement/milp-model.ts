import { EngineError } from '../errors.ts';

/** A minimising model in sparse rows; columns lie between 0 and an upper bound. */
export interface MilpModel {
  readonly cost: Float64Array;
  /** Part of the objective that no column changes. */
  readonly offset: number;
  readonly columnUpper: Float64Array;
  /** 1 for a whole-number column. */
  readonly isWhole: Uint8Array;
  readonly rowLower: Float64Array;
  readonly rowUpper: Float64Array;
  /** Start of each row in the two lists below, and their length at the end. */
  readonly rowStarts: Int32Array;
  readonly columnIndexes: Int32Array;
  readonly coefficients: Float64Array;
}

export interface MilpOutcome {
  readonly status: 'optimal' | 'infeasible' | 'time-limit' | 'failed';
  /** One value a column; null when no solution was found. */
  readonly values: ArrayLike<number> | null;
  /** Proved: no solution has a lower objective; null when nothing is known. */
  readonly bound: number | null;
}

/** What a solver may be told beside the model. */
export interface MilpHints {
  /** It may end when its best is proved within this share of the bound. */
  readonly gapRatio?: number | undefined;
  /** Values of whole-number columns of a solution that is known; the rest follow from them. */
  readonly start?:
    | { readonly columns: readonly number[]; readonly values: readonly number[] }
    | undefined;
}

/** Solves a model within a time limit; without a hint, to a relative gap well below a millionth. */
export type SolveMilp = (model: MilpModel, timeLimitS: number, hints?: MilpHints) => MilpOutcome;

/** A solver and a clock: seconds since the work began. */
export interface MilpSolver {
  readonly solve: SolveMilp;
  readonly elapsedS: () => number;
}

export interface Term {
  readonly column: number;
  readonly coefficient: number;
}

export interface ColumnKind {
  readonly cost?: number;
  readonly upper?: number;
  readonly isWhole?: boolean;
}

/** Gathers columns and rows one by one. */
export interface MilpBuilder {
  addColumn(kind: ColumnKind): number;
  addRow(terms: readonly Term[], lower: number, upper: number): void;
  columnCount(): number;
  /** Adds to the part of the objective that no column changes. */
  addOffset(cost: number): void;
  /** The model, its costs divided by a scale; all columns continuous when so asked. */
  model(costScale: number, isRelaxed?: boolean): MilpModel;
}

/**
 * An empty model to which columns and rows are added.
 *
 * @source order-plan-own
 */
export function milpBuilder(): MilpBuilder {
  const cost: number[] = [];
  const columnUpper: number[] = [];
  const isWhole: number[] = [];
  const rowLower: number[] = [];
  const rowUpper: number[] = [];
  const rowStarts: number[] = [0];
  let offset = 0;
  const columnIndexes: number[] = [];
  const coefficients: number[] = [];
  return {
    addColumn(kind) {
      cost.push(kind.cost ?? 0);
      columnUpper.push(kind.upper ?? Number.POSITIVE_INFINITY);
      isWhole.push(kind.isWhole === true ? 1 : 0);
      return cost.length - 1;
    },
    addRow(terms, lower, upper) {
      for (const { column, coefficient } of terms) {
        if (coefficient === 0) continue;
        columnIndexes.push(column);
        coefficients.push(coefficient);
      }
      rowStarts.push(columnIndexes.length);
      rowLower.push(lower);
      rowUpper.push(upper);
    },
    addOffset(fixed) {
      offset += fixed;
    },
    columnCount: () => cost.length,
    model: (costScale, isRelaxed = false) => ({
      offset: offset / costScale,
      cost: Float64Array.from(cost, (value) => value / costScale),
      columnUpper: Float64Array.from(columnUpper),
      isWhole: isRelaxed ? new Uint8Array(isWhole.length) : Uint8Array.from(isWhole),
      rowLower: Float64Array.from(rowLower),
      rowUpper: Float64Array.from(rowUpper),
      rowStarts: Int32Array.from(rowStarts),
      columnIndexes: Int32Array.from(columnIndexes),
      coefficients: Float64Array.from(coefficients),
    }),
  };
}

/**
 * Solves a model and refuses an answer to another one: as many values must come back as columns
 * were sent, all finite, and a solver that failed is not believed.
 *
 * @throws {EngineError} `inconsistent` naming `solver.status`, `solver.columns` or `solver.values`
 * @source order-plan-own
 */
export function solveMilp(
  model: MilpModel,
  solve: SolveMilp,
  timeLimitS: number,
  hints: MilpHints = {},
): MilpOutcome {
  const outcome = solve(model, timeLimitS, hints);
  const { status, values, bound } = outcome;
  if (status === 'failed' || (status === 'optimal' && values === null)) {
    throw new EngineError('inconsistent', 'solver.status', status, 'no answer came back');
  }
  if (values !== null && values.length !== model.cost.length) {
    const limit = `${model.cost.length} were sent`;
    throw new EngineError('inconsistent', 'solver.columns', values.length, limit);
  }
  if (values !== null) {
    for (let at = 0; at < values.length; at += 1) {
      if (Number.isFinite(values[at])) continue;
      throw new EngineError('inconsistent', 'solver.values', values[at], 'must be finite');
    }
  }
  return { ...outcome, bound: bound !== null && Number.isFinite(bound) ? bound : null };
}
