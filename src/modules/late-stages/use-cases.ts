import type { LateStage } from '../../../shared/contract/late-stage.ts';
import type { StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import { daysBetween } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { notFound } from '../../domain/errors.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import { lateReasons } from './late-reasons.ts';
import {
  type BuildStanding,
  crewOf,
  isFinished,
  type LateSeason,
  progressOf,
  stageOf,
  stagesInHand,
} from './late-season.ts';
import {
  buildsInWork,
  crewsOfProgramme,
  findProgrammeOfLate,
  materialsOfBuilds,
  type PlannedOfLate,
  type ProgrammeOfLate,
  plannedStagesOf,
  templatesOfKinds,
} from './repository.ts';

/** What the records observed until a day say about the stages of builds. */
export type StandingsUntil = (
  tx: Tx,
  buildIds: readonly string[],
  untilDay: string,
) => Promise<ReadonlyMap<string, StageProjection>>;

export interface LateFilter {
  readonly on?: string | undefined;
  readonly villageId?: string | undefined;
  readonly crewId?: string | undefined;
}

interface Asked {
  readonly on: string;
  readonly villageId: string | undefined;
  readonly crewId: string | undefined;
}

export interface LateStages {
  /** The worst first. */
  list(
    tx: Tx,
    programmeId: string,
    query: LateFilter & { readonly limit: number; readonly cursor?: string | undefined },
  ): Promise<Page<LateStage>>;
  /** All of them, for a file. */
  all(tx: Tx, programmeId: string, filter: LateFilter): Promise<LateStage[]>;
}

/** Rows that a file may have. */
const MOST_ROWS = 50_000;

export function createLateStages(clock: Clock, standingsUntil: StandingsUntil): LateStages {
  async function find(tx: Tx, programmeId: string, { on, villageId, crewId }: Asked) {
    const programme = await findProgrammeOfLate(tx, programmeId);
    if (!programme) throw notFound('programme', programmeId);
    const season = await readLateSeason(tx, programme, on, standingsUntil);
    const late = lateOf(season).filter(
      ({ standing, planned }) =>
        (villageId === undefined || standing.build.villageId === villageId) &&
        (crewId === undefined || crewOf(standing, planned.stageCode) === crewId),
    );
    return { season, late };
  }

  const settled = (filter: LateFilter): Asked => ({
    on: filter.on ?? clock.today(),
    villageId: filter.villageId,
    crewId: filter.crewId,
  });

  return {
    async list(tx, programmeId, { limit, cursor, ...filter }) {
      const asked = settled(filter);
      const name = `late-stages?${programmeId}${JSON.stringify(asked)}`;
      const after = cursor === undefined ? null : openCursor(tx.actor, name, cursor);
      const { season, late } = await find(tx, programmeId, asked);
      const from = after === null ? 0 : late.findIndex((one) => isAfter(keyOf(one), after));
      const rows = from < 0 ? [] : late.slice(from, from + limit + 1);
      return toPage(tx.actor, name, rows, limit, keyOf, (one) => lateStageOf(season, one));
    },

    async all(tx, programmeId, filter) {
      const { season, late } = await find(tx, programmeId, settled(filter));
      return late.slice(0, MOST_ROWS).map((one) => lateStageOf(season, one));
    },
  };
}

interface Late {
  readonly standing: BuildStanding;
  readonly planned: PlannedOfLate;
  readonly lateness: LateStage['lateness'];
  readonly lateDays: number;
}

async function readLateSeason(
  tx: Tx,
  programme: ProgrammeOfLate,
  on: string,
  standingsUntil: StandingsUntil,
): Promise<LateSeason> {
  const found = await buildsInWork(tx, programme.id, on);
  const ids = found.map(({ id }) => id);
  const templates = await templatesOfKinds(tx, [...new Set(found.map((one) => one.tankKindId))]);
  const projections = await standingsUntil(tx, ids, on);
  const planned = new Map<string, Map<string, PlannedOfLate>>(ids.map((id) => [id, new Map()]));
  for (const stage of await plannedStagesOf(tx, programme.id, ids)) {
    planned.get(stage.buildId)?.set(stage.stageCode, stage);
  }
  const builds = new Map<string, BuildStanding>();
  for (const build of found) {
    const projection = projections.get(build.id);
    if (projection === undefined) continue;
    builds.set(build.id, {
      build,
      projection,
      template: templates.get(build.tankKindId) ?? [],
      planned: planned.get(build.id) ?? new Map(),
    });
  }
  return {
    on,
    programme,
    builds,
    crews: new Map((await crewsOfProgramme(tx, programme.id)).map((crew) => [crew.id, crew])),
    inHand: stagesInHand(builds.values()),
    materials: await materialsOfBuilds(tx, programme.id, readyBuilds(builds, on), on),
  };
}

/** Builds with a stage that should have begun and that nothing in the build keeps from it. */
function readyBuilds(builds: ReadonlyMap<string, BuildStanding>, on: string): string[] {
  return [...builds.values()]
    .filter(({ projection, planned }) =>
      projection.stages.some(
        ({ stageCode, isOpenToStart, earliestStartOn }) =>
          isOpenToStart &&
          (earliestStartOn ?? on) <= on &&
          (planned.get(stageCode)?.startsOn ?? on) < on,
      ),
    )
    .map(({ build }) => build.id);
}

function lateOf({ builds, on }: LateSeason): Late[] {
  const late: Late[] = [];
  for (const standing of builds.values()) {
    for (const planned of standing.planned.values()) {
      const progress = progressOf(standing, planned.stageCode);
      if (progress === undefined || isFinished(progress)) continue;
      const hasBegun = progress.status !== 'not-started';
      const lateDays = daysBetween(hasBegun ? planned.finishesOn : planned.startsOn, on);
      if (lateDays <= 0) continue;
      late.push({ standing, planned, lateDays, lateness: hasBegun ? 'not-finished' : 'not-begun' });
    }
  }
  return late.sort((a, b) => (isAfter(keyOf(a), keyOf(b)) ? 1 : -1));
}

const keyOf = ({ lateDays, planned }: Late): string[] => [
  String(lateDays),
  planned.startsOn,
  planned.buildId,
  planned.stageCode,
];

/** Whether a key comes after another: fewer days late, or as many and a later start. */
function isAfter(key: readonly string[], other: readonly string[]): boolean {
  const [days = '', ...rest] = key;
  const [otherDays = '', ...otherRest] = other;
  if (days !== otherDays) return Number(days) < Number(otherDays);
  const at = rest.findIndex((part, place) => part !== otherRest[place]);
  return at >= 0 && (rest[at] as string) > (otherRest[at] as string);
}

function lateStageOf(season: LateSeason, late: Late): LateStage {
  const { standing, planned, lateness, lateDays } = late;
  const { stageCode, startsOn, finishesOn } = planned;
  const crewId = crewOf(standing, stageCode);
  return {
    buildId: standing.build.id,
    buildCode: standing.build.code,
    villageId: standing.build.villageId,
    villageName: standing.build.villageName,
    stageCode,
    stageTitle: stageOf(standing, stageCode)?.title ?? stageCode,
    crewId,
    crewCode: crewId === null ? null : (season.crews.get(crewId)?.code ?? null),
    plannedStartOn: startsOn,
    plannedFinishOn: finishesOn,
    startedOn: progressOf(standing, stageCode)?.startedOn ?? null,
    lateness,
    lateDays,
    reasons: lateReasons(season, standing, stageCode),
  };
}
