import type { WorkSheet, WorkSheetStage } from '../../../shared/contract/work-sheet.ts';
import type { StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import {
  type Stage,
  type StageTemplate,
  stagesForTank,
} from '../../../shared/scheduling/stage-template.ts';
import { addDays, isoWeekday } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { notFound } from '../../domain/errors.ts';
import { isWorkedOn, movesAround, restNote } from './crew-week.ts';
import {
  type CrewOfSheet,
  findCrewOfSheet,
  materialsOfStages,
  openNonconformities,
  publishedPlanOf,
  type StageOfSheet,
  stagesOfCrew,
  templatesOfKinds,
  type VillageOfSheet,
  villagesById,
} from './repository.ts';

export type Standings = (
  tx: Tx,
  buildIds: readonly string[],
) => Promise<ReadonlyMap<string, StageProjection>>;

export interface WorkSheets {
  /** The week, Monday to Sunday, that a day lies in; this week when none is named. */
  read(tx: Tx, crewId: string, weekOf: string | undefined): Promise<WorkSheet>;
}

const DAYS = [0, 1, 2, 3, 4, 5, 6];

/** @param standings what the records say about the stages of builds */
export function createWorkSheets(clock: Clock, standings: Standings): WorkSheets {
  return {
    async read(tx, crewId, weekOf = clock.today()) {
      const crew = await findCrewOfSheet(tx, crewId);
      if (!crew) throw notFound('crew', crewId);
      const weekStartsOn = addDays(weekOf, 1 - isoWeekday(weekOf));
      const weekEndsOn = addDays(weekStartsOn, 6);
      const plan = await publishedPlanOf(tx, crew.programmeId);
      const stages = plan === null ? [] : await stagesOfCrew(tx, plan.id, crewId);
      const known = await readKnown(tx, crew, stages, standings);
      const ofWeek = stages.filter(
        ({ startsOn, finishesOn }) => startsOn <= weekEndsOn && finishesOn >= weekStartsOn,
      );
      return {
        crewId: crew.id,
        crewCode: crew.code,
        crewName: crew.name,
        crewSize: crew.size,
        programmeName: crew.programmeName,
        plan,
        weekStartsOn,
        weekEndsOn,
        days: daysOf(weekStartsOn, crew, stages, known),
        stages: await stagesOf(tx, ofWeek, known),
        waits: waitsOf(weekStartsOn, weekEndsOn, stages, known),
        nonconformities: await nonconformitiesOf(tx, ofWeek, known),
      };
    },
  };
}

interface Known {
  readonly villages: ReadonlyMap<string, VillageOfSheet>;
  readonly templates: ReadonlyMap<string, StageTemplate>;
  readonly standings: ReadonlyMap<string, StageProjection>;
}

async function readKnown(
  tx: Tx,
  crew: CrewOfSheet,
  stages: readonly StageOfSheet[],
  standings: Standings,
): Promise<Known> {
  const builds = [...new Map(stages.map((stage) => [stage.buildId, stage])).values()];
  const homes = crew.homeVillageId === null ? [] : [crew.homeVillageId];
  const kinds = await templatesOfKinds(tx, [...new Set(builds.map((build) => build.tankKindId))]);
  return {
    villages: await villagesById(tx, [...builds.map(({ villageId }) => villageId), ...homes]),
    templates: new Map(
      builds.map(({ buildId, tankKindId, waterDepthM }) => [
        buildId,
        stagesForTank(kinds.get(tankKindId) ?? [], { waterDepthM }),
      ]),
    ),
    standings: await standings(
      tx,
      builds.map(({ buildId }) => buildId),
    ),
  };
}

const declared = (
  { templates }: Known,
  { buildId, stageCode }: Pick<StageOfSheet, 'buildId' | 'stageCode'>,
) => templates.get(buildId)?.find(({ code }) => code === stageCode);

const nameOf = ({ villages }: Known, villageId: string) => villages.get(villageId)?.name ?? '';

const named = (known: Known, stage: StageOfSheet) => ({
  buildId: stage.buildId,
  buildCode: stage.buildCode,
  villageName: nameOf(known, stage.villageId),
  stageCode: stage.stageCode,
  stageTitle: declared(known, stage)?.title ?? stage.stageCode,
});

const progressOf = ({ standings }: Known, buildId: string, stageCode: string) =>
  standings.get(buildId)?.stages.find((stage) => stage.stageCode === stageCode);

function daysOf(
  weekStartsOn: string,
  crew: CrewOfSheet,
  stages: readonly StageOfSheet[],
  known: Known,
): WorkSheet['days'] {
  const moves = movesAround(weekStartsOn, addDays(weekStartsOn, 6), crew, stages, known.villages);
  return DAYS.map((place) => {
    const on = addDays(weekStartsOn, place);
    const work = stages
      .filter((stage) => isWorkedOn(on, stage, crew, known.villages.get(stage.villageId)))
      .map((stage) => ({
        ...named(known, stage),
        startsOn: stage.startsOn,
        finishesOn: stage.finishesOn,
        status: progressOf(known, stage.buildId, stage.stageCode)?.status ?? 'not-started',
      }));
    return {
      on,
      note: work.length > 0 ? null : restNote(on, crew),
      travel: moves
        .filter(({ fromOn, untilOn }) => fromOn <= on && on <= untilOn)
        .map(({ fromVillageId, toVillageId }) => ({
          fromVillageName: nameOf(known, fromVillageId),
          toVillageName: nameOf(known, toVillageId),
        })),
      work,
    };
  });
}

async function stagesOf(
  tx: Tx,
  ofWeek: readonly StageOfSheet[],
  known: Known,
): Promise<WorkSheetStage[]> {
  const materials = await materialsOfStages(tx, ofWeek);
  return ofWeek.flatMap((stage): WorkSheetStage[] => {
    const template = declared(known, stage);
    if (template === undefined) return [];
    return [
      {
        ...named(known, stage),
        ...instructionsOf(template),
        materials: materials
          .filter(({ buildId, stageCode }) => {
            return buildId === stage.buildId && stageCode === stage.stageCode;
          })
          .map(({ buildId: _, stageCode: __, ...material }) => material),
      },
    ];
  });
}

const instructionsOf = (stage: Stage) => ({
  needs: [...stage.needs],
  checks: stage.checks.map((check) => ({ ...check })),
  holdPoint: stage.holdPoint,
  releasedBy: stage.releasedBy,
  minimumWaitDays: stage.minimumWaitDays,
  cautions: [...stage.cautions],
});

/** Waits that run in the week: after what is finished, and after what the plan finishes in it. */
function waitsOf(
  weekStartsOn: string,
  weekEndsOn: string,
  stages: readonly StageOfSheet[],
  known: Known,
): WorkSheet['waits'] {
  return stages.flatMap((stage): WorkSheet['waits'] => {
    const waitDays = declared(known, stage)?.minimumWaitDays ?? 0;
    if (waitDays === 0 || known.standings.get(stage.buildId)?.isComplete) return [];
    const finishedOn = progressOf(known, stage.buildId, stage.stageCode)?.finishedOn ?? null;
    const isPlanned = finishedOn === null;
    const from = finishedOn ?? stage.finishesOn;
    const overOn = addDays(from, waitDays);
    if (from > weekEndsOn || overOn <= weekStartsOn) return [];
    // What should have been finished before the week and is not: nothing waits on it yet.
    if (isPlanned && from < weekStartsOn) return [];
    return [{ ...named(known, stage), finishedOn: from, isPlanned, overOn }];
  });
}

async function nonconformitiesOf(
  tx: Tx,
  ofWeek: readonly StageOfSheet[],
  known: Known,
): Promise<WorkSheet['nonconformities']> {
  const builds = new Map(ofWeek.map((stage) => [stage.buildId, stage]));
  const open = await openNonconformities(tx, [...builds.keys()]);
  return open.flatMap((entry) => {
    const build = builds.get(entry.buildId);
    return build ? [{ ...named(known, { ...build, stageCode: entry.stageCode }), ...entry }] : [];
  });
}
