import highsModule, { type Highs } from 'highs';
import { CUTTING_TIME_LIMIT_S } from '../../../shared/contract/calculation-cutting-plan.ts';
import { EngineError } from '../../../shared/errors.ts';
import { planCutting } from '../../../shared/procurement/cutting-plan.ts';
import type {
  CuttingInput,
  CuttingPlan,
  LpOutcome,
  SolveLp,
} from '../../../shared/procurement/cutting-types.ts';

// The package declares a CommonJS default, yet its module build exports the loader itself.
const loadHighs = highsModule as unknown as typeof highsModule.default;

/** Once the time is over, small models still get this long: a bound comes from a linear one. */
const LEAST_MODEL_S = 0.2;
const GRACE_S = 2;

let loading: Promise<Highs> | null = null;

/** Plans cuts with HiGHS; all models together keep to the time limit of the plan. */
export async function cuttingPlan(body: CuttingInput): Promise<CuttingPlan> {
  loading ??= loadHighs();
  const highs = await loading;
  const timeLimitS = body.timeLimitS ?? CUTTING_TIME_LIMIT_S.default;
  const endsAtMs = performance.now() + timeLimitS * 1000;
  const solve: SolveLp = (lpText, modelLimitS) => {
    const leftS = (endsAtMs - performance.now()) / 1000;
    if (leftS < -GRACE_S) return unsolved(lpText);
    return solved(highs, lpText, Math.min(modelLimitS, Math.max(leftS, LEAST_MODEL_S)));
  };
  try {
    return planCutting({ ...body, timeLimitS }, solve);
  } catch (error) {
    if (error instanceof EngineError && !error.parameter.startsWith('solver.')) throw error;
    // A solver that failed is not trusted with the next plan; its fault is not the caller's.
    loading = null;
    throw new Error('The solver failed on a cutting plan', { cause: error });
  }
}

function solved(highs: Highs, lpText: string, timeLimitS: number): LpOutcome {
  const found = highs.solve(lpText, {
    output_flag: false,
    time_limit: timeLimitS,
    mip_rel_gap: 0,
  });
  return {
    status: found.Status,
    objectiveValue: found.ObjectiveValue ?? null,
    primalByColumn: Object.fromEntries(
      Object.entries(found.Columns).map(([name, column]): [string, number | null] => [
        name,
        'Primal' in column ? column.Primal : null,
      ]),
    ),
    dualByRow: found.Rows.map((row) => ('Dual' in row ? row.Dual : 0)),
  };
}

/** Names of columns stand in small letters without a colon; those of rows are followed by one. */
const COLUMN_NAME = /\b[a-z]\w*\b(?!:)/g;

/** The answer to a model for which no time is left: the plan falls back on what it has. */
const unsolved = (lpText: string): LpOutcome => ({
  status: 'Time limit reached',
  objectiveValue: null,
  primalByColumn: Object.fromEntries(
    (lpText.match(COLUMN_NAME) ?? []).map((name): [string, null] => [name, null]),
  ),
});
