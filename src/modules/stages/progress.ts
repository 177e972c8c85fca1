import Big from 'big.js';
import type { BuildProgress } from '../../../shared/contract/stage-record.ts';
import { money } from '../../../shared/costing/money.ts';
import type { StageFact } from '../../../shared/scheduling/stage-facts.ts';
import type { NonConformity } from '../../../shared/scheduling/stage-nonconformities.ts';
import { projectStages, type StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import { type StageTemplate, stagesForTank } from '../../../shared/scheduling/stage-template.ts';
import { completeRatio, stageWeights } from '../../../shared/scheduling/stage-weights.ts';
import type { BuildUnderWork, StoredProgress } from './repository.ts';

export const templateOf = (build: BuildUnderWork): StageTemplate =>
  stagesForTank(build.stages, { waterDepthM: build.water_depth_m });

export interface Progress {
  readonly projection: StageProjection;
  readonly weights: Readonly<Record<string, string>>;
  readonly stored: StoredProgress;
}

/** Status, percentage and dates of a build, from its facts and the cost of its stages alone. */
export function deriveProgress(
  build: BuildUnderWork,
  facts: readonly StageFact[],
  costs: readonly { code: string; amount: string }[],
): Progress {
  const template = templateOf(build);
  const projection = projectStages(template, facts);
  const costByStage = Object.fromEntries(
    costs.map(({ code, amount }) => [code, money(new Big(amount).toFixed(), build.currency)]),
  );
  const weights = stageWeights(template, costByStage);
  const percent = new Big(completeRatio(projection, weights)).times(100);
  const started = projection.stages.filter(({ startedOn }) => startedOn !== null);
  const last = projection.stages.at(-1);
  const startedOn = started.map((stage) => stage.startedOn ?? '').sort()[0] ?? null;
  return {
    projection,
    weights,
    stored: {
      status: statusOf(build, projection, started.length > 0),
      percentComplete: percent.toFixed(6),
      currentStageCode: started.findLast(({ status }) => status !== 'accepted')?.stageCode ?? null,
      startedOn,
      handedOverOn: projection.isComplete ? (last?.releasedOn ?? last?.finishedOn ?? null) : null,
    },
  };
}

function statusOf(build: BuildUnderWork, projection: StageProjection, isStarted: boolean): string {
  if (build.cancelled_on !== null) return 'cancelled';
  if (projection.isComplete) return 'handed-over';
  if (!isStarted) return 'planned';
  const waits = projection.stages.some(
    ({ status }) =>
      status === 'awaiting-release' || status === 'nonconforming' || status === 'in-rework',
  );
  return waits ? 'on-hold' : 'started';
}

function toNonConformity({ decision, ...entry }: NonConformity) {
  if (decision === null) return { ...entry, decision };
  const { factId: recordId, ...taken } = decision;
  return { ...entry, decision: { recordId, ...taken } };
}

export function toBuildProgress(build: BuildUnderWork, progress: Progress): BuildProgress {
  const { projection, weights, stored } = progress;
  const template = templateOf(build);
  return {
    buildId: build.id,
    status: stored.status,
    percentComplete: Number(stored.percentComplete),
    weightRule: '0/100 by budgeted cost of the stage',
    stages: projection.stages.map((stage, index) => {
      const declared = template[index];
      return {
        ...stage,
        title: declared?.title ?? stage.stageCode,
        weightRatio: Number(weights[stage.stageCode] ?? '0'),
        holdPoint: declared?.holdPoint ?? 'none',
        releasedBy: declared?.releasedBy ?? null,
        needs: [...(declared?.needs ?? [])],
        checks: (declared?.checks ?? []).map((check) => ({ ...check })),
        cautions: [...(declared?.cautions ?? [])],
        readings: stage.readings.map((reading) => ({ ...reading })),
        obstacles: stage.obstacles.map((obstacle) => ({ ...obstacle })),
      };
    }),
    openHolds: [...projection.openHolds],
    nonConformities: projection.nonConformities.map(toNonConformity),
    closedNonConformities: projection.closedNonConformities.map(toNonConformity),
    isComplete: projection.isComplete,
  };
}
