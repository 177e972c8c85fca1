import highsModule from 'highs';
import type { LpOutcome, SolveLp } from '../../shared/index.ts';

// The package declares a CommonJS default, yet its module build exports the loader itself.
const loadHighs = highsModule as unknown as typeof highsModule.default;

/** HiGHS as the engine's solver, with a list of what it answered. */
export async function highsSolver(): Promise<{ solve: SolveLp; answers: LpOutcome[] }> {
  const highs = await loadHighs();
  const answers: LpOutcome[] = [];
  const solve: SolveLp = (lpText, timeLimitS) => {
    const found = highs.solve(lpText, {
      output_flag: false,
      time_limit: timeLimitS,
      mip_rel_gap: 0,
    });
    const outcome: LpOutcome = {
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
    answers.push(outcome);
    return outcome;
  };
  return { solve, answers };
}
