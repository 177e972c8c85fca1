import highsModule, { type Highs } from 'highs';
import type {
  MilpHints,
  MilpModel,
  MilpOutcome,
  SolveMilp,
} from '../../shared/procurement/milp-model.ts';

// The package declares a CommonJS default, yet its module build exports the loader itself.
const loadHighs = highsModule as unknown as typeof highsModule.default;

/** Relative gap at which HiGHS stops; a plan counts as optimal at ten times that. */
const RELATIVE_GAP = 1e-7;
const HAS_SOLUTION = 2;

/** HiGHS as a solver of sparse models; loaded anew at each call. */
export async function highsMilp(): Promise<SolveMilp> {
  const highs = await loadHighs();
  return (model, timeLimitS, hints = {}) => solved(highs, model, timeLimitS, hints);
}

function solved(
  highs: Highs,
  model: MilpModel,
  timeLimitS: number,
  { gapRatio = 0, start }: MilpHints,
): MilpOutcome {
  const numCols = model.cost.length;
  const numRows = model.rowLower.length;
  return highs.withModel(
    {
      numCols,
      numRows,
      offset: model.offset,
      colCost: model.cost,
      colLower: new Float64Array(numCols),
      colUpper: model.columnUpper,
      rowLower: model.rowLower,
      rowUpper: model.rowUpper,
      matrix: {
        format: 'csr' as const,
        numRows,
        numCols,
        starts: model.rowStarts,
        indices: model.columnIndexes,
        values: model.coefficients,
      },
      integrality: Int32Array.from(model.isWhole),
    },
    (native): MilpOutcome => {
      native.options.set({
        output_flag: false,
        time_limit: timeLimitS,
        mip_rel_gap: Math.max(RELATIVE_GAP, gapRatio),
        mip_abs_gap: 0,
      });
      if (start) native.setSolution({ indices: [...start.columns], values: [...start.values] });
      native.run();
      const { modelStatus } = highs.constants;
      const code = native.getModelStatus();
      const hasSolution = Number(native.info.get('primal_solution_status')) === HAS_SOLUTION;
      const values = hasSolution ? native.getSolution().colValue : null;
      const isMixed = model.isWhole.some((one) => one === 1);
      if (code === modelStatus.optimal) {
        const objective = native.getObjectiveValue();
        const bound = isMixed ? Number(native.info.get('mip_dual_bound')) : objective;
        return { status: 'optimal', values, bound };
      }
      if (code === modelStatus.infeasible || code === modelStatus.unboundedOrInfeasible) {
        return { status: 'infeasible', values: null, bound: null };
      }
      const isStopped =
        code === modelStatus.timeLimit ||
        code === modelStatus.iterationLimit ||
        code === modelStatus.solutionLimit ||
        code === modelStatus.interrupted;
      if (!isStopped) return { status: 'failed', values: null, bound: null };
      // values of a linear model that was stopped are no solution
      return {
        status: 'time-limit',
        values: isMixed ? values : null,
        bound: isMixed ? Number(native.info.get('mip_dual_bound')) : null,
      };
    },
  );
}
