import { newSeasonPlan, type SeasonFigures } from '../../../shared/contract/season-plan.ts';
import { civilDate, id } from '../../../shared/contract/values.ts';
import type { BuildPlan } from '../../../shared/scheduling/build-plan.ts';
import { ENGINE_VERSION } from '../../../shared/version.ts';
import { ruleBroken } from '../../domain/errors.ts';
import type { JobHandler, RunningJob } from '../../jobs/run-job.ts';
import { runInWorker } from '../../workers/pool.ts';
import { isSupposed } from './assume.ts';
import { conflictErrors } from './conflict-errors.ts';
import { planDifference } from './moved-builds.ts';
import { insertSeasonPlan, nextSeasonPlanCode, type StageToSave } from './plan-repository.ts';
import { readSeason, type SeasonSettings, type SeasonToPlan } from './read-season.ts';
import { figuresWith, findSeasonPlan } from './repository.ts';

const jobInput = newSeasonPlan.extend({
  programmeId: id,
  startsOn: civilDate,
  basedOnId: id.nullable(),
});

/** Builds that are named as left out; all are counted. */
const MOST_NAMED = 200;
const GRACE_MS = 30_000;
const PROGRESS_EVERY_MS = 1_000;

/**
 * Plans a season in a worker thread and writes the plan in one step at the end. Killed or cancelled,
 * nothing of it is kept.
 */
export const planSeasonBuilds: JobHandler = async (job) => {
  const { programmeId, ...settings } = jobInput.parse(job.input);
  const read = await job.read((tx) => readSeason(tx, programmeId, settings));
  const solved = await solve(job, read, settings);
  const { plan } = solved;
  if (plan.status === 'infeasible') {
    throw ruleBroken(
      'season-wishes-conflict',
      'The season has wishes that cannot hold together; each is named.',
      conflictErrors(plan.conflicts, read),
    );
  }
  const status = plan.status;
  const total = Math.ceil(settings.timeLimitS) + 1;
  return job.step({ done: total, total }, async (tx) => {
    const code = await nextSeasonPlanCode(tx, read.programme);
    const figures = figuresOf(plan, read, solved);
    await insertSeasonPlan(tx, {
      id: job.id,
      programmeId,
      code,
      finishesOn: read.days.dateOf(Math.max(0, plan.figures.finishedDay - 1)),
      boundOn: read.days.dateOf(Math.max(0, plan.bounds.lowerBoundDay - 1)),
      status,
      settings,
      figures: { ...figures, against: null },
      engineVersion: ENGINE_VERSION,
      stages: stagesToSave(plan, read),
    });
    const earlier = settings.basedOnId ? await findSeasonPlan(tx, settings.basedOnId) : null;
    if (earlier) {
      const difference = await planDifference(tx, earlier.id, job.id);
      const finishDays =
        read.days.dayOf(read.days.dateOf(plan.figures.finishedDay - 1)) -
        read.days.dayOf(earlier.finishesOn);
      await figuresWith(tx, job.id, {
        ...figures,
        against: {
          planId: earlier.id,
          planCode: earlier.code,
          finishDays,
          tardinessDays: figures.tardinessDays - earlier.figures.tardinessDays,
          movedStageCount: difference.movedStageCount,
          movedBuildCount: difference.movedBuildCount,
          crewIds: [...difference.crewIds],
        },
      });
    }
    const { finishDays, boundDays, gapRatio, tardinessDays, lateBuildCount } = figures;
    return {
      seasonPlanId: job.id,
      code,
      finishDays,
      boundDays,
      gapRatio,
      tardinessDays,
      lateBuildCount,
    };
  });
};

interface Solved {
  readonly plan: BuildPlan;
  readonly oneTankAfterAnotherDay: number | null;
  readonly elapsedS: number;
}

/** The search in a worker, with a sign of life every second, which also hears of a cancellation. */
async function solve(
  job: RunningJob,
  { season }: SeasonToPlan,
  settings: SeasonSettings,
): Promise<Solved> {
  const { timeLimitS, schedules, seed, purpose } = settings;
  const stop = new AbortController();
  const total = Math.ceil(timeLimitS) + 1;
  const startedMs = performance.now();
  let failure: unknown;
  const ticking = setInterval(() => {
    const done = Math.min(total - 1, Math.floor((performance.now() - startedMs) / 1000));
    job
      .step({ done, total }, async () => undefined)
      .catch((error: unknown) => {
        failure ??= error;
        stop.abort();
      });
  }, PROGRESS_EVERY_MS);
  try {
    const keepsEarlier = purpose === 'replan';
    const found = await runInWorker(
      'plan-builds',
      { season, effort: { schedules, seed, timeLimitS, keepsEarlier } },
      {
        timeoutMs: timeLimitS * 1000 + GRACE_MS,
        signal: AbortSignal.any([job.signal, stop.signal]),
      },
    );
    return { ...found, elapsedS: (performance.now() - startedMs) / 1000 };
  } catch (error) {
    throw failure ?? error;
  } finally {
    clearInterval(ticking);
  }
}

function figuresOf(
  plan: BuildPlan,
  read: SeasonToPlan,
  { oneTankAfterAnotherDay, elapsedS }: Solved,
): Omit<SeasonFigures, 'against'> {
  const { figures, bounds } = plan;
  const codes = new Map(read.crews.map(({ id: crewId, code }) => [crewId, code]));
  const finishDays = figures.finishedDay;
  const boundDays = Math.min(bounds.lowerBoundDay, finishDays);
  return {
    buildCount: read.season.builds.length,
    stageCount: plan.stages.filter(({ standing }) => standing !== 'done').length,
    finishDays,
    boundDays,
    gapRatio: finishDays > 0 ? (finishDays - boundDays) / finishDays : 0,
    longestBuildDays: bounds.longestBuildDay,
    crewWorkDays: bounds.crewWorkDay,
    tardinessDays: figures.tardinessDays,
    tardinessBoundDays: bounds.tardinessDays,
    lateBuildCount: figures.lateBuildCount,
    moveCount: figures.moveCount,
    moveDays: figures.moveDays,
    crewLoads: figures.crewLoads.map(({ crewId, personDays, lastDay }) => ({
      crewId,
      crewCode: codes.get(crewId) ?? crewId,
      personDays,
      lastOn: personDays > 0 ? read.days.dateOf(lastDay) : null,
    })),
    oneTankAfterAnother:
      oneTankAfterAnotherDay === null
        ? null
        : {
            finishesOn: read.days.dateOf(oneTankAfterAnotherDay - 1),
            savedDays: oneTankAfterAnotherDay - finishDays,
          },
    schedulesGenerated: plan.schedulesGenerated,
    solverTimeS: elapsedS,
    leftOut: read.leftOut.slice(0, MOST_NAMED).map((one) => ({ ...one })),
    leftOutCount: read.leftOut.length,
  };
}

/** Stages as dates; those that were begun keep the day on which they began. */
function stagesToSave({ stages }: BuildPlan, { days, standings }: SeasonToPlan): StageToSave[] {
  return stages.map((stage): StageToSave => {
    const finishesOn = days.dateOf(stage.finishDay - 1);
    const startsOn =
      begunOn(standings, stage) ??
      (stage.startDay === null ? finishesOn : days.dateOf(stage.startDay));
    return {
      buildId: stage.buildId,
      stageCode: stage.stageCode,
      crewId: stage.crewId === null || isSupposed(stage.crewId) ? null : stage.crewId,
      startsOn: earlierOf(startsOn, finishesOn),
      finishesOn,
      standing: stage.standing,
      isPinned: stage.isPinned,
      waitsFor: stage.waitsFor,
    };
  });
}

const begunOn = (
  standings: SeasonToPlan['standings'],
  { buildId, stageCode }: { readonly buildId: string; readonly stageCode: string },
): string | null =>
  standings.get(buildId)?.stages.find((stage) => stage.stageCode === stageCode)?.startedOn ?? null;

const earlierOf = (one: string, other: string) => [one, other].toSorted()[0] ?? one;
