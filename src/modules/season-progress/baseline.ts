import { currencyExponent } from '../../../shared/costing/currency.ts';
import { stageDates } from '../../../shared/scheduling/stage-dates.ts';
import type { StageTemplate } from '../../../shared/scheduling/stage-template.ts';
import { calendarDay, isoWeekday } from '../../../shared/units/calendar.ts';
import type { Tx } from '../../db/database.ts';

export interface ProgrammeOfProgress {
  readonly id: string;
  readonly code: string;
  readonly currency: string;
  readonly startsOn: string;
  readonly workingWeekdays: readonly number[];
  readonly holidays: readonly string[];
  readonly holdReleaseDays: number;
}

interface PublishedPlan {
  readonly id: string;
  readonly code: string;
  readonly versionNumber: number;
  readonly publishedAt: string;
  readonly startsOn: string;
  readonly finishesOn: string;
  readonly isFrozen: boolean;
}

export type EarningRuleChoice = '0-100' | 'by-length';

/** What progress is measured against. */
export interface Baseline {
  readonly programme: ProgrammeOfProgress;
  readonly plan: PublishedPlan | null;
  readonly templates: ReadonlyMap<string, StageTemplate>;
  readonly rule: EarningRuleChoice;
  readonly dataOn: string;
  /** Of the currency: minor units of one. */
  readonly minorUnits: string;
  readonly plannedStages: PlannedStages | null;
}

/** Stage dates of builds by kind of tank and planned start, where no plan is published. */
interface PlannedStages {
  readonly kindIds: string[];
  readonly starts: string[];
  readonly stageCodes: string[];
  readonly startsOn: string[];
  readonly finishesOn: string[];
}

const PROGRAMME_SQL = `
  select id, code, currency, starts_on as "startsOn", working_weekdays as "workingWeekdays", holidays,
    hold_release_days as "holdReleaseDays"
  from programme where organisation_id = $1 and id = $2`;

const PLAN_SQL = `
  select p.id, p.code, p.version_number as "versionNumber", p.published_at as "publishedAt",
    p.starts_on as "startsOn", p.finishes_on as "finishesOn",
    exists (select from season_plan_value v
      where v.organisation_id = p.organisation_id and v.season_plan_id = p.id) as "isFrozen"
  from season_plan p
  where p.organisation_id = $1 and p.programme_id = $2 and p.standing = 'published'`;

const KINDS_SQL = `
  select id, stages from tank_kind k
  where organisation_id = $1 and exists (select from build b
    where b.organisation_id = $1 and b.programme_id = $2 and b.tank_kind_id = k.id)`;

const STARTS_SQL = `
  select distinct tank_kind_id as "kindId", coalesce(planned_start_on, started_on) as "startOn" from build
  where organisation_id = $1 and programme_id = $2 and (cancelled_on is null or cancelled_on > $3)
    and coalesce(planned_start_on, started_on) is not null`;

export async function findProgrammeOfProgress(
  tx: Tx,
  id: string,
): Promise<ProgrammeOfProgress | null> {
  const [row] = await tx.sql<ProgrammeOfProgress>(PROGRAMME_SQL, [tx.organisationId, id]);
  return row ?? null;
}

/** The published plan, or each planned start laid over the working days of the programme. */
export async function readBaseline(
  tx: Tx,
  programme: ProgrammeOfProgress,
  dataOn: string,
  rule: EarningRuleChoice,
): Promise<Baseline> {
  const of = [tx.organisationId, programme.id];
  const [plan = null] = await tx.sql<PublishedPlan>(PLAN_SQL, of);
  const kinds = await tx.sql<{ id: string; stages: StageTemplate }>(KINDS_SQL, of);
  const templates = new Map(kinds.map(({ id, stages }) => [id, stages]));
  return {
    programme,
    plan,
    templates,
    rule,
    dataOn,
    minorUnits: `1${'0'.repeat(currencyExponent(programme.currency))}`,
    plannedStages: plan
      ? null
      : plannedStages(
          await tx.sql<{ kindId: string; startOn: string }>(STARTS_SQL, [...of, dataOn]),
          templates,
          workingDaysOf(programme),
        ),
  };
}

function plannedStages(
  starts: readonly { readonly kindId: string; readonly startOn: string }[],
  templates: Baseline['templates'],
  isWorkingDay: (isoDate: string) => boolean,
): PlannedStages {
  const columns: PlannedStages = {
    kindIds: [],
    starts: [],
    stageCodes: [],
    startsOn: [],
    finishesOn: [],
  };
  for (const { kindId, startOn } of starts) {
    for (const dates of stageDates(templates.get(kindId) ?? [], startOn, isWorkingDay)) {
      columns.kindIds.push(kindId);
      columns.starts.push(startOn);
      columns.stageCodes.push(dates.stageCode);
      columns.startsOn.push(dates.startsOn);
      columns.finishesOn.push(dates.finishesOn);
    }
  }
  return columns;
}

export interface VillageCalendar {
  readonly noWorkWeekdays: readonly number[];
  readonly reachableMonths: readonly number[];
}

/**
 * Working days of the programme, less those on which nobody works in a village. A village in which
 * nobody ever works takes those of the programme.
 */
export function workingDaysOf(
  { workingWeekdays, holidays }: ProgrammeOfProgress,
  village?: VillageCalendar,
): (isoDate: string) => boolean {
  const off = new Set(holidays);
  const own = workingWeekdays.filter((day) => !village?.noWorkWeekdays.includes(day));
  const weekdays = new Set(own.length > 0 ? own : workingWeekdays);
  const months = new Set(village?.reachableMonths);
  const known = new Map<string, boolean>();
  return (isoDate) => {
    const found = known.get(isoDate);
    if (found !== undefined) return found;
    const isReached = months.size === 0 || months.has(calendarDay(isoDate).month);
    const isWorked = weekdays.has(isoWeekday(isoDate)) && !off.has(isoDate) && isReached;
    known.set(isoDate, isWorked);
    return isWorked;
  };
}
