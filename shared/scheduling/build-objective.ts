import type { ClusterScore } from './build-score.ts';

/** Figures of a plan in the order in which they matter; each counts only when those before are equal. */
export interface PlanScore {
  readonly broken: number;
  readonly tardinessDays: number;
  readonly finishedDay: number;
  readonly moveDays: number;
  readonly unevenness: number;
  readonly changedStageCount: number;
  readonly changedDays: number;
}

/** Load of the busiest crew less that of the idlest, each over its people: days. */
export function unevenness(loads: Float64Array, rooms: Float64Array): number {
  let [most, least] = [0, Number.POSITIVE_INFINITY];
  for (const [crew, load] of loads.entries()) {
    const own = load / (rooms[crew] as number);
    if (own > most) most = own;
    if (own < least) least = own;
  }
  return loads.length === 0 ? 0 : most - least;
}

/** The scores of all clusters together. */
export function planScore(scores: readonly ClusterScore[], uneven: number): PlanScore {
  let [broken, tardinessDays, finishedDay, moveDays] = [0, 0, 0, 0];
  let [changedStageCount, changedDays] = [0, 0];
  for (const score of scores) {
    broken += score.broken;
    tardinessDays += score.tardinessDays;
    finishedDay = Math.max(finishedDay, score.finishedDay);
    moveDays += score.moveDays;
    changedStageCount += score.changedStageCount;
    changedDays += score.changedDays;
  }
  return {
    broken,
    tardinessDays,
    finishedDay,
    moveDays,
    unevenness: uneven,
    changedStageCount,
    changedDays,
  };
}

/**
 * Whether one plan is better than another: fewer wishes broken, then less late, then finished sooner,
 * fewer days on the road, crews loaded more evenly, fewer changes. A plan that is to keep the earlier
 * one looks at changes right after lateness.
 *
 * @source serial-generation
 */
export function isBetter(one: PlanScore, other: PlanScore, keepsEarlier: boolean): boolean {
  const [a, b] = [ranked(one, keepsEarlier), ranked(other, keepsEarlier)];
  for (const [at, value] of a.entries()) {
    const than = b[at] as number;
    if (Math.abs(value - than) > 1e-9) return value < than;
  }
  return false;
}

function ranked(score: PlanScore, keepsEarlier: boolean): number[] {
  const { broken, tardinessDays, finishedDay, moveDays, changedStageCount, changedDays } = score;
  const changes = [changedDays, changedStageCount];
  const rest = [finishedDay, moveDays, score.unevenness];
  return [broken, tardinessDays, ...(keepsEarlier ? [...changes, ...rest] : [...rest, ...changes])];
}

/** Weights of what the search goes down on, in days of finish. Ours, from trials. */
const WEIGHTS = {
  broken: 1_000,
  tardinessDay: 4,
  moveDay: 0.02,
  meanDay: 0.2,
  uneven: 0.002,
  changedDay: 0.0005,
  changedDayKept: 0.5,
  changedStageKept: 0.2,
} as const;
/** Power of the mean of finishes: the last cluster counts most, the next ones a little. Ours. */
const FINISH_POWER = 24;

/** What the search goes down on: smooth, so that it sees a way where the strict order sees none. */
export function searchEnergy(
  scores: readonly ClusterScore[],
  uneven: number,
  keepsEarlier: boolean,
): number {
  const all = planScore(scores, uneven);
  let powers = 0;
  let moment = 0;
  let work = 0;
  for (const { finishedDay, workMoment, personDays } of scores) {
    powers += (finishedDay / Math.max(1, all.finishedDay)) ** FINISH_POWER;
    moment += workMoment;
    work += personDays;
  }
  const finish = all.finishedDay * powers ** (1 / FINISH_POWER);
  return (
    WEIGHTS.broken * all.broken +
    WEIGHTS.tardinessDay * all.tardinessDays +
    finish +
    WEIGHTS.meanDay * (work > 0 ? moment / work : 0) +
    WEIGHTS.moveDay * all.moveDays +
    WEIGHTS.uneven * uneven +
    (keepsEarlier
      ? WEIGHTS.changedDayKept * all.changedDays + WEIGHTS.changedStageKept * all.changedStageCount
      : WEIGHTS.changedDay * all.changedDays)
  );
}
