import { latestStageDates } from '../../../shared/scheduling/latest-stage-dates.ts';
import { stageDates } from '../../../shared/scheduling/stage-dates.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import type { Tx } from '../../db/database.ts';
import { type Baseline, type VillageCalendar, workingDaysOf } from './baseline.ts';
import { type SqlStart, stageValues } from './stage-value-sql.ts';

const VILLAGES_SQL = `
  select v.id, v.no_work_weekdays as "noWorkWeekdays", v.reachable_months as "reachableMonths"
  from village v where v.organisation_id = $1 and exists (select from build b
    where b.organisation_id = $1 and b.programme_id = $2 and b.village_id = v.id)`;

/** `release`: the first day on which each build could have begun, never after its plan. */
const releases = (at: number) => `
  release as (
    select f.build_id, b.tank_kind_id as kind_id, b.village_id,
      least(f.first_on, greatest($${at}::date, b.earliest_start_on, s.agreed_on)) as release_on
    from (select build_id, min(starts_on) as first_on from stage_value
        where starts_on is not null group by build_id) f
      join build b on b.organisation_id = $1 and b.id = f.build_id
      join site s on s.organisation_id = $1 and s.id = b.site_id
  )`;

interface ReleaseGroup {
  readonly kindId: string;
  readonly villageId: string;
  readonly releaseOn: string;
}

/**
 * `dated`: every dated stage of the baseline with its planned, its earliest and its latest dates.
 *
 * Earliest: laid from the first possible day of the build on. Latest: laid back from the last day of
 * the plan. Crews and rain are left out of account, so the plan lies between. What has begun or is
 * done cannot move.
 */
export async function datedStages(
  tx: Tx,
  baseline: Baseline,
  startsOn: string,
  finishesOn: string,
): Promise<SqlStart> {
  const { text, values } = stageValues(tx, baseline);
  const at = values.length + 1;
  const groups = await tx.sql<ReleaseGroup>(
    `with ${text}, ${releases(at)}
     select distinct kind_id as "kindId", village_id as "villageId", release_on as "releaseOn" from release`,
    [...values, startsOn],
  );
  const { early, late } = await passes(tx, baseline, groups, finishesOn);
  const column = <Row, Value>(rows: readonly Row[], of: (row: Row) => Value) => rows.map(of);
  const dated = `
    dated as (
      select v.amount, v.at_start, v.starts_on, v.finishes_on,
        case when v.standing = 'planned' then least(v.starts_on, e.starts_on) else v.starts_on end as early_start,
        case when v.standing = 'planned' then least(v.finishes_on, e.finishes_on) else v.finishes_on end as early_finish,
        case when v.standing = 'planned' then greatest(v.starts_on, l.starts_on) else v.starts_on end as late_start,
        case when v.standing = 'planned' then greatest(v.finishes_on, l.finishes_on) else v.finishes_on end as late_finish
      from stage_value v join release r on r.build_id = v.build_id
        left join unnest($${at + 1}::uuid[], $${at + 2}::uuid[], $${at + 3}::date[], $${at + 4}::text[],
          $${at + 5}::date[], $${at + 6}::date[])
          as e (kind_id, village_id, release_on, stage_code, starts_on, finishes_on)
          on e.kind_id = r.kind_id and e.village_id = r.village_id and e.release_on = r.release_on
            and e.stage_code = v.stage_code
        left join unnest($${at + 7}::uuid[], $${at + 8}::uuid[], $${at + 9}::text[], $${at + 10}::date[],
          $${at + 11}::date[])
          as l (kind_id, village_id, stage_code, starts_on, finishes_on)
          on l.kind_id = r.kind_id and l.village_id = r.village_id and l.stage_code = v.stage_code
      where v.finishes_on is not null
    )`;
  return {
    text: `${text}, ${releases(at)}, ${dated}`,
    values: [
      ...values,
      startsOn,
      column(early, ({ kindId }) => kindId),
      column(early, ({ villageId }) => villageId),
      column(early, ({ releaseOn }) => releaseOn),
      column(early, ({ stageCode }) => stageCode),
      column(early, (dates) => dates.startsOn),
      column(early, (dates) => dates.finishesOn),
      column(late, ({ kindId }) => kindId),
      column(late, ({ villageId }) => villageId),
      column(late, ({ stageCode }) => stageCode),
      column(late, (dates) => dates.startsOn),
      column(late, (dates) => dates.finishesOn),
    ],
  };
}

async function passes(
  tx: Tx,
  baseline: Baseline,
  groups: readonly ReleaseGroup[],
  finishesOn: string,
) {
  const { programme, plan, templates } = baseline;
  const villages = await tx.sql<VillageCalendar & { readonly id: string }>(VILLAGES_SQL, [
    tx.organisationId,
    programme.id,
  ]);
  // Planned starts are laid over the days of the programme alone, and so is what lies around them.
  const calendars = new Map(
    villages.map((village) => [village.id, workingDaysOf(programme, plan ? village : undefined)]),
  );
  const everyDay = workingDaysOf(programme);
  const waiting = new Map(
    [...templates].map(([id, stages]) => [
      id,
      plan ? withHoldDays(stages, programme.holdReleaseDays) : stages,
    ]),
  );
  const of = ({ kindId, villageId }: { kindId: string; villageId: string }) =>
    [waiting.get(kindId) ?? [], calendars.get(villageId) ?? everyDay] as const;
  const early = groups.flatMap((group) => {
    const [template, isWorkingDay] = of(group);
    return stageDates(template, group.releaseOn, isWorkingDay).map((dates) => ({
      kindId: group.kindId,
      villageId: group.villageId,
      releaseOn: group.releaseOn,
      stageCode: dates.stageCode,
      startsOn: dates.startsOn,
      finishesOn: dates.finishesOn,
    }));
  });
  const places = new Map(
    groups.map(({ kindId, villageId }) => [`${kindId} ${villageId}`, { kindId, villageId }]),
  );
  const late = [...places.values()].flatMap((place) => {
    const [template, isWorkingDay] = of(place);
    return latestStageDates(template, finishesOn, isWorkingDay).map((dates) => ({
      ...place,
      ...dates,
    }));
  });
  return { early, late };
}

/** A hold point takes its release at least, as in the plan. */
const withHoldDays = (template: StageTemplate, holdReleaseDays: number): StageTemplate =>
  template.map((stage) =>
    stage.holdPoint === 'hold'
      ? { ...stage, minimumWaitDays: Math.max(stage.minimumWaitDays, holdReleaseDays) }
      : stage,
  );
