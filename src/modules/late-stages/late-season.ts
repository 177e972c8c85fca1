import type { StageProgress, StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import type { Stage, StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type {
  BuildOfLate,
  CrewOfLate,
  MaterialOfLate,
  PlannedOfLate,
  ProgrammeOfLate,
} from './repository.ts';

/** A build as it stands on the day beside what the plan said of it. */
export interface BuildStanding {
  readonly build: BuildOfLate;
  readonly template: StageTemplate;
  readonly projection: StageProjection;
  readonly planned: ReadonlyMap<string, PlannedOfLate>;
}

/** Everything that lateness is judged by, on one day. */
export interface LateSeason {
  readonly on: string;
  readonly programme: ProgrammeOfLate;
  readonly builds: ReadonlyMap<string, BuildStanding>;
  readonly crews: ReadonlyMap<string, CrewOfLate>;
  /** Stages that crews have in hand on the day, by crew. */
  readonly inHand: ReadonlyMap<string, readonly StageInHand[]>;
  readonly materials: readonly MaterialOfLate[];
}

export interface StageInHand {
  readonly standing: BuildStanding;
  readonly stageCode: string;
}

export const progressOf = (
  { projection }: BuildStanding,
  stageCode: string,
): StageProgress | undefined => projection.stages.find((stage) => stage.stageCode === stageCode);

export const stageOf = ({ template }: BuildStanding, stageCode: string): Stage | undefined =>
  template.find(({ code }) => code === stageCode);

/** By whom a stage is to be done: as planned, or else by the crew of the build. */
export const crewOf = ({ planned, build }: BuildStanding, stageCode: string): string | null =>
  planned.get(stageCode)?.crewId ?? build.crewId;

/** Whether the work of a stage is behind it, its release aside. */
export const isFinished = ({ status }: StageProgress): boolean =>
  status === 'accepted' || status === 'awaiting-release';

/** Stages that each crew has in hand: begun, or to be put right. */
export function stagesInHand(
  builds: Iterable<BuildStanding>,
): ReadonlyMap<string, readonly StageInHand[]> {
  const byCrew = new Map<string, StageInHand[]>();
  for (const standing of builds) {
    for (const { stageCode, status } of standing.projection.stages) {
      const crewId = crewOf(standing, stageCode);
      if (crewId === null || (status !== 'in-progress' && status !== 'in-rework')) continue;
      const own = byCrew.get(crewId);
      if (own) own.push({ standing, stageCode });
      else byCrew.set(crewId, [{ standing, stageCode }]);
    }
  }
  return byCrew;
}
