import type { BuildPlan } from '../../../shared/scheduling/build-plan.ts';
import type { BuildSeason } from '../../../shared/scheduling/build-season.ts';
import { oneTankAfterAnother } from '../../../shared/scheduling/one-tank-after-another.ts';
import { planBuilds } from '../../../shared/scheduling/plan-builds.ts';
import { wishConflicts } from '../../../shared/scheduling/wish-conflicts.ts';

export interface SeasonToSolve {
  readonly season: BuildSeason;
  readonly effort: {
    readonly schedules?: number | undefined;
    readonly seed: number;
    readonly timeLimitS: number;
    /** Few changes of what the published plan says. */
    readonly keepsEarlier: boolean;
  };
}

/** Plans a season; when its time is over, the best plan so far stands. */
export function planSeasonBuilds({ season, effort }: SeasonToSolve): {
  plan: BuildPlan;
  oneTankAfterAnotherDay: number | null;
} {
  const { timeLimitS, schedules, seed, keepsEarlier } = effort;
  const endsAtMs = performance.now() + timeLimitS * 1000;
  const isOver = () => performance.now() >= endsAtMs;
  const plan = planBuilds(season, {
    seed,
    keepsEarlier,
    isOver,
    findConflicts: wishConflicts,
    ...(schedules ? { schedules } : {}),
  });
  if (plan.status === 'infeasible') return { plan, oneTankAfterAnotherDay: null };
  const inTurn = oneTankAfterAnother(season);
  const isWhole = inTurn.status !== 'infeasible';
  return { plan, oneTankAfterAnotherDay: isWhole ? inTurn.figures.finishedDay : null };
}
