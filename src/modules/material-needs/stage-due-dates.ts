import { type StageDates, stageDates } from '../../../shared/scheduling/stage-dates.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import { addDays, isoWeekday } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';

/** When the materials of a stage are due, for builds of a kind that start on a day. */
export interface DueDate {
  readonly tankKindId: string;
  readonly startOn: string;
  readonly stageCode: string;
  readonly dueOn: string;
}

export interface PlannedProgramme {
  readonly code: string;
  readonly currency: string;
  readonly startsOn: string;
  readonly endsOn: string;
  readonly workingWeekdays: readonly number[];
  readonly holidays: readonly string[];
}

/** A build whose start is asked about instead of the one that is planned. */
export interface MovedBuild {
  readonly buildId: string;
  readonly plannedStartOn: string;
}

interface StartGroup {
  readonly tank_kind_id: string;
  readonly start_on: string;
}

const PROGRAMME_SQL = `
  select code, currency, starts_on as "startsOn", ends_on as "endsOn",
    working_weekdays as "workingWeekdays", holidays from programme
  where organisation_id = $1 and id = $2`;

const STARTS_SQL = `
  select distinct tank_kind_id, coalesce(started_on, moved.start_on, planned_start_on) as start_on
  from build left join unnest($3::uuid[], $4::date[]) as moved (build_id, start_on) on moved.build_id = id
  where organisation_id = $1 and programme_id = $2 and cancelled_on is null and handed_over_on is null
    and status in ('planned', 'started', 'on-hold')
    and coalesce(started_on, moved.start_on, planned_start_on) is not null`;

const KINDS_SQL = `select id, stages from tank_kind where organisation_id = $1 and id = any($2)`;

export async function findPlannedProgramme(tx: Tx, id: string): Promise<PlannedProgramme | null> {
  const [row] = await tx.sql<PlannedProgramme>(PROGRAMME_SQL, [tx.organisationId, id]);
  return row ?? null;
}

export function workingDays(programme: PlannedProgramme): (isoDate: string) => boolean {
  const weekdays = new Set(programme.workingWeekdays);
  const holidays = new Set(programme.holidays);
  return (isoDate) => weekdays.has(isoWeekday(isoDate)) && !holidays.has(isoDate);
}

/**
 * Due dates of all stages of a programme's builds: each kind of tank and day of start is laid over the
 * programme's calendar once, however many builds share it.
 */
export async function stageDueDates(
  tx: Tx,
  programmeId: string,
  programme: PlannedProgramme,
  dueDaysBeforeStage: number,
  moves: readonly MovedBuild[] = [],
): Promise<DueDate[]> {
  const starts = await tx.sql<StartGroup>(STARTS_SQL, [
    tx.organisationId,
    programmeId,
    moves.map(({ buildId }) => buildId),
    moves.map(({ plannedStartOn }) => plannedStartOn),
  ]);
  const kindIds = [...new Set(starts.map(({ tank_kind_id }) => tank_kind_id))];
  const kinds = await tx.sql<{ id: string; stages: StageTemplate }>(KINDS_SQL, [
    tx.organisationId,
    kindIds,
  ]);
  const isWorkingDay = workingDays(programme);
  const templateOf = new Map(kinds.map(({ id, stages }) => [id, stages]));
  return starts.flatMap(({ tank_kind_id, start_on }) =>
    stageDates(templateOf.get(tank_kind_id) ?? [], start_on, isWorkingDay).map(
      ({ stageCode, startsOn }: StageDates) => ({
        tankKindId: tank_kind_id,
        startOn: start_on,
        stageCode,
        dueOn: addDays(startsOn, -dueDaysBeforeStage),
      }),
    ),
  );
}
