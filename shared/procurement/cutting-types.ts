export interface CuttingStock {
  readonly id: string;
  readonly lengthMm: number;
  /** Any number when left out. */
  readonly availableCount?: number | undefined;
  /** Cost of one length, for all stocks or for none. */
  readonly cost?: number | undefined;
}

export interface CuttingPiece {
  readonly id: string;
  readonly lengthMm: number;
  readonly count: number;
}

export interface CuttingInput {
  readonly stock: readonly CuttingStock[];
  readonly kerfMm?: number | undefined;
  readonly pieces: readonly CuttingPiece[];
  readonly timeLimitS?: number | undefined;
  /** Offcuts at least this long are listed as stock for a later plan. */
  readonly usableOffcutMm?: number | undefined;
}

export interface CuttingPattern {
  readonly stockId: string;
  readonly times: number;
  readonly pieces: readonly { readonly id: string; readonly count: number }[];
  /** What is left of each length after the last cut. */
  readonly offcutMm: number;
}

export type CuttingObjective = 'count' | 'length' | 'cost';

/** How the plan was found: `bound` needed no solver, `columns` and `first-fit` may miss the best. */
export type CuttingMethod = 'bound' | 'patterns' | 'arc-flow' | 'columns' | 'first-fit' | 'none';

export interface CuttingPlan {
  /** `unsolved`: no plan was found and none was proved impossible in the time given. */
  readonly status: 'optimal' | 'feasible' | 'infeasible' | 'unsolved';
  readonly reason?: string | undefined;
  readonly objective: CuttingObjective;
  readonly method: CuttingMethod;
  readonly stockCount: number;
  readonly totalCost?: number | undefined;
  readonly totalStockMm: number;
  /** No plan uses fewer lengths than this. */
  readonly lowerBoundCount: number;
  /**
   * No plan has a lower objective: lengths, millimetres of stock, or cost. At least what the length
   * of the pieces with their saw cuts asks for, also when no model finished; 0 when the stock
   * together is too short.
   */
  readonly lowerBound: number;
  readonly patterns: readonly CuttingPattern[];
  readonly usableOffcuts: readonly {
    readonly stockId: string;
    readonly lengthMm: number;
    readonly count: number;
  }[];
}

/** What came back for a model in LP text. `primal` is null where the solver gives no value. */
export interface LpOutcome {
  /** As HiGHS writes it: Optimal, Infeasible, Time limit reached, … */
  readonly status: string;
  readonly objectiveValue: number | null;
  readonly primalByColumn: Readonly<Record<string, number | null>>;
  /** Duals of the rows in model order; continuous models only. */
  readonly dualByRow?: readonly number[] | undefined;
}

/** Solves a model in CPLEX LP text; integer models with a relative gap of 0. */
export type SolveLp = (lpText: string, timeLimitS: number) => LpOutcome;
