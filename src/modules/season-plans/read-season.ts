import type { NewSeasonPlan } from '../../../shared/contract/season-plan.ts';
import type {
  BuildSeason,
  SeasonBuild,
  SeasonCrew,
  SeasonVillage,
} from '../../../shared/scheduling/build-season.ts';
import { moveDays } from '../../../shared/scheduling/move-days.ts';
import { seasonStages } from '../../../shared/scheduling/season-stages.ts';
import type { StageProjection } from '../../../shared/scheduling/stage-progress.ts';
import { addDays } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';
import { notFound } from '../../domain/errors.ts';
import { stageStandings } from '../stages/stage-standings.ts';
import { supposedCrews, supposedPins, supposedReleases } from './assume.ts';
import { factsOfPlan } from './build-facts.ts';
import { type SeasonDays, seasonDays, villageWorkingDays } from './season-days.ts';
import {
  type BuildToPlan,
  buildsToPlan,
  type CrewToPlan,
  crewsToPlan,
  earlierStarts,
  equipmentToPlan,
  findProgrammeToPlan,
  kindsToPlan,
  type ProgrammeToPlan,
  pinsToPlan,
  type VillageToPlan,
  villagesToPlan,
} from './season-repository.ts';

export interface SeasonSettings extends Omit<NewSeasonPlan, 'startsOn' | 'basedOnId'> {
  readonly startsOn: string;
  readonly basedOnId: string | null;
}

export interface SeasonToPlan {
  readonly programme: ProgrammeToPlan;
  readonly days: SeasonDays;
  readonly season: BuildSeason;
  readonly crews: readonly CrewToPlan[];
  readonly builds: ReadonlyMap<string, BuildToPlan>;
  /** What the records say about builds that have begun. */
  readonly standings: ReadonlyMap<string, StageProjection>;
  readonly leftOut: readonly { buildId: string; buildCode: string; reason: string }[];
}

/** Everything that a season is planned from, as it stands in one transaction. */
export async function readSeason(
  tx: Tx,
  programmeId: string,
  settings: SeasonSettings,
): Promise<SeasonToPlan> {
  const { assumptions, startsOn, basedOnId } = settings;
  const found = await findProgrammeToPlan(tx, programmeId);
  if (!found) throw notFound('programme', programmeId);
  const { rains } = assumptions ?? {};
  const programme = rains
    ? { ...found, rainsFrom: rains.fromOn, rainsUntil: rains.untilOn }
    : found;
  const days = seasonDays(startsOn);
  const crews = supposedCrews(await crewsToPlan(tx, programmeId), assumptions);
  const homes = crews.flatMap(({ homeVillageId }) => homeVillageId ?? []);
  const villages = await villagesToPlan(tx, programmeId, homes);
  const all = await buildsToPlan(tx, programmeId);
  const kinds = await kindsToPlan(tx, [...new Set(all.map(({ tankKindId }) => tankKindId))]);
  const equipment = await equipmentToPlan(tx, programmeId);
  const equipmentIds = new Map(equipment.map(({ id, code }) => [code, id]));
  const templates = new Map(kinds.map(({ id, stages }) => [id, stages]));
  const begun = all.filter(({ startedOn }) => startedOn !== null).map(({ id }) => id);
  const standings = await stageStandings(tx, begun);
  const earlier = grouped(basedOnId === null ? [] : await earlierStarts(tx, basedOnId));
  const pins = grouped([...(await pinsToPlan(tx, programmeId)), ...supposedPins(assumptions)]);
  const open = openVillages(villages, programme, startsOn);
  const leftOut: SeasonToPlan['leftOut'][number][] = [];
  const builds: SeasonBuild[] = [];
  for (const build of all) {
    const reason = reasonToLeaveOut(build, open);
    if (reason !== null) {
      leftOut.push({ buildId: build.id, buildCode: build.code, reason });
      continue;
    }
    const template = templates.get(build.tankKindId) ?? [];
    const standing = standings.get(build.id);
    const codes = template.map(({ code }) => code);
    builds.push({
      id: build.id,
      villageId: build.villageId,
      templateId: build.tankKindId,
      releaseDay: Math.max(0, ...[build.agreedOn, build.earliestStartOn].map(dayOrStart(days))),
      dueDay: days.dayOf(dueOnOf(build, programme, startsOn)) + 1,
      facts: standing
        ? factsOfPlan(template, standing, build.crewId, days, programme.holdReleaseDays)
        : [],
      pins: (pins.get(build.id) ?? []).map(({ id, stageCode, crewId, startsOn: on }) => ({
        id,
        stageCode,
        crewId,
        startDay: on === null ? null : days.dayOf(on),
      })),
      stageReleases: supposedReleases(build, codes, assumptions, days),
      earlier: (earlier.get(build.id) ?? []).map((stage) => ({
        stageCode: stage.stageCode,
        crewId: stage.crewId,
        startDay: days.dayOf(stage.startsOn),
      })),
    });
  }
  const planned = villages.filter(({ id }) => open.has(id));
  return {
    programme,
    days,
    crews,
    builds: new Map(all.map((build) => [build.id, build])),
    standings,
    leftOut,
    season: {
      villages: planned.map(
        ({ id }): SeasonVillage => ({ id, isWorkingDay: open.get(id) ?? [true] }),
      ),
      crews: crews.map((crew) => seasonCrew(crew, days, open)),
      equipment: equipment.map(({ id, units }) => ({ id, units })),
      templates: kinds.map(({ id, stages }) => ({
        id,
        stages: seasonStages(stages, programme.holdReleaseDays, equipmentIds),
      })),
      builds,
      moveDays: moveTable(planned, programme),
      rains: rainsOf(programme, days),
    },
  };
}

function grouped<Row extends { readonly buildId: string }>(rows: readonly Row[]) {
  const byBuild = new Map<string, Row[]>();
  for (const row of rows) {
    const group = byBuild.get(row.buildId);
    if (group) group.push(row);
    else byBuild.set(row.buildId, [row]);
  }
  return byBuild;
}

const dayOrStart = (days: SeasonDays) => (on: string | null) => (on === null ? 0 : days.dayOf(on));

function openVillages(
  villages: readonly VillageToPlan[],
  programme: ProgrammeToPlan,
  startsOn: string,
): Map<string, boolean[]> {
  return new Map(
    villages.flatMap((village) => {
      const worked = villageWorkingDays(startsOn, programme, village);
      return worked === null ? [] : [[village.id, worked] as const];
    }),
  );
}

function reasonToLeaveOut(build: BuildToPlan, open: ReadonlyMap<string, boolean[]>): string | null {
  if (build.startedOn !== null) return null;
  if (build.agreedOn === null) return 'the site is not agreed';
  if (!build.isDesignApproved) return 'no engineer approves the design at present';
  if (!open.has(build.villageId)) return 'nobody ever works in its village';
  return null;
}

/** Its own day, else the first of season end, grant end and the day before the rains to come. */
function dueOnOf(build: BuildToPlan, programme: ProgrammeToPlan, startsOn: string): string {
  if (build.dueOn !== null) return build.dueOn;
  const { endsOn, rainsFrom } = programme;
  const ends = [endsOn, build.grantEndsOn ?? endsOn];
  if (rainsFrom !== null && rainsFrom > startsOn) ends.push(addDays(rainsFrom, -1));
  return ends.toSorted()[0] ?? endsOn;
}

function seasonCrew(
  crew: CrewToPlan,
  days: SeasonDays,
  open: ReadonlyMap<string, boolean[]>,
): SeasonCrew {
  const stands = crew.lastVillageId ?? crew.homeVillageId;
  return {
    id: crew.id,
    people: crew.size,
    trades: crew.trades,
    homeVillageId: stands !== null && open.has(stands) ? stands : null,
    fromDay: crew.availableFrom === null ? 0 : Math.max(0, days.dayOf(crew.availableFrom)),
    untilDay:
      crew.availableUntil === null ? null : Math.max(0, days.dayOf(crew.availableUntil) + 1),
    absences: crew.absences
      .map(({ fromOn, untilOn }) => days.rangeOf(fromOn, untilOn))
      .filter(({ fromDay, untilDay }) => untilDay > fromDay),
    learning:
      crew.practisedAfterTanks === 0 || crew.learningRatio === 1
        ? null
        : {
            tanksBuilt: crew.tanksBuilt + crew.begunCount,
            practisedAfterTanks: crew.practisedAfterTanks,
            ratio: crew.learningRatio,
          },
  };
}

function moveTable(villages: readonly VillageToPlan[], programme: ProgrammeToPlan): number[][] {
  const moving = {
    detourRatio: programme.moveDetourRatio,
    speedKmPerH: programme.moveSpeedKmPerH,
    packingHours: programme.movePackingHours,
  };
  const places = villages.map(({ latDeg, lonDeg }) =>
    latDeg === null || lonDeg === null ? null : { latDeg, lonDeg },
  );
  return places.map((from, row) =>
    places.map((to, column) => (row === column ? 0 : moveDays(from, to, moving))),
  );
}

function rainsOf({ rainsFrom, rainsUntil }: ProgrammeToPlan, days: SeasonDays) {
  if (rainsFrom === null || rainsUntil === null) return [];
  const range = days.rangeOf(rainsFrom, rainsUntil);
  return range.untilDay > range.fromDay ? [range] : [];
}
