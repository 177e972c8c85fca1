import pg from 'pg';
import { wireTypes } from '../db/types.ts';
import { systemClock } from '../domain/clock.ts';
import { createMaterialNeeds } from '../modules/material-needs/use-cases.ts';
import { printBenchLine } from './bench-line.ts';
import { interleaved } from './median-time.ts';
import type { BenchProgramme, Season } from './season-database.ts';
import { waitForStatistics } from './table-statistics.ts';

const ROUNDS = 7;
const DUE_DAYS_BEFORE_STAGE = 7;
/** The Monday a week before the first build starts, so that nothing is overdue. */
const STARTS_ON = '2025-12-29';

/**
 * The same gross needs as a careful person would ask for who knows that each stage of the bench's kind
 * takes one working day and follows the one before: working days are numbered once, and a stage is due
 * as many of them after the start as its place in the row. Summed before names are joined.
 */
const HAND_WRITTEN_SQL = `
  with working_day as materialized (
    select day::date as day, row_number() over (order by day) as n
    from programme p, generate_series(p.starts_on, p.ends_on, interval '1 day') day
    where p.organisation_id = $1 and p.id = $2
      and extract(isodow from day) = any(p.working_weekdays) and day::date <> all(p.holidays)
  ),
  start as (
    select b.planned_start_on, min(w.n) as n
    from (select distinct planned_start_on from build
        where organisation_id = $1 and programme_id = $2 and status = 'planned') b
      join working_day w on w.day >= b.planned_start_on
    group by b.planned_start_on
  ),
  due as materialized (
    select s.planned_start_on, t.stage ->> 'code' as stage_code, (w.day - $4::integer - $3::date) / 7 + 1 as week
    from start s
      join tank_kind k on k.organisation_id = $1 and k.id = (select tank_kind_id from build
        where organisation_id = $1 and programme_id = $2 limit 1),
      jsonb_array_elements(k.stages) with ordinality t (stage, place),
      working_day w
    where w.n = s.n + t.place - 1
  )
  select t.* from (
    select l.material_id as "materialId", b.village_id as "villageId", l.unit_code as "unitCode", d.week as period,
      sum(l.with_waste_quantity) as quantity
    from build b
      join bill_line l on l.organisation_id = $1 and l.build_id = b.id
      join due d on d.planned_start_on = b.planned_start_on and d.stage_code = l.stage_code
    where b.organisation_id = $1 and b.programme_id = $2 and b.status = 'planned' and b.cancelled_on is null
      and not l.is_in_kind
    group by l.material_id, b.village_id, l.unit_code, d.week
  ) t
  join material m on m.organisation_id = $1 and m.id = t."materialId"
  where m.category <> 'labour'
  order by t."materialId", t."villageId", t.period`;

interface Need {
  readonly materialId: string;
  readonly villageId: string;
  readonly unitCode: string;
  readonly period: number;
  readonly quantity: string;
}

/** Needs of a season by material, village and week through the use-case, against SQL written by hand. */
export async function benchNeedsRollUp(season: Season, programme: BenchProgramme): Promise<void> {
  const { actor, db, appUrl } = season;
  const { programmeId, buildCount } = programme;
  const materialNeeds = createMaterialNeeds(systemClock);
  const plain = new pg.Client({
    connectionString: appUrl,
    types: wireTypes,
    options: `-c app.organisation_id=${actor.organisationId}`,
  });
  await plain.connect();
  const input = { programmeId, startsOn: STARTS_ON, dueDaysBeforeStage: DUE_DAYS_BEFORE_STAGE };
  const values = [actor.organisationId, programmeId, STARTS_ON, DUE_DAYS_BEFORE_STAGE];
  const ours = () => db.withTenant(actor, (tx) => materialNeeds.season(tx, input));
  const byHand = () => plain.query<Need>(HAND_WRITTEN_SQL, values);
  try {
    const hasStatistics = await waitForStatistics(plain, ['build', 'bill_line']);
    const { needs, undated } = await ours();
    requireSame(needs, (await byHand()).rows);
    if (needs.length === 0 || undated.buildCount > 0) throw new Error('The season has no dates');
    const weekCount = Math.max(...needs.map(({ period }) => period));
    const { oursMs, baselineMs } = await interleaved(ROUNDS, ours, byHand);
    printBenchLine({
      name: `needs-roll-up-${buildCount}-builds`,
      value: oursMs,
      unit: 'ms',
      baseline: baselineMs,
      note: `${needs.length} needs by material, village and week of ${buildCount} builds over ${weekCount} weeks, netted${hasStatistics ? '' : ', tables without statistics'}; baseline: hand-written SQL for the same gross needs on one connection, not netted`,
    });
  } finally {
    await plain.end();
  }
}

/** Both answers hold the same gross needs, or the times say nothing. */
function requireSame(ours: readonly Need[], byHand: readonly Need[]): void {
  const keyOf = ({ materialId, villageId, unitCode, period }: Need) =>
    [materialId, villageId, unitCode, period].join(' ');
  const found = new Map(byHand.map((need) => [keyOf(need), Number(need.quantity)]));
  const other = ours.find((need) => found.get(keyOf(need)) !== Number(need.quantity));
  if (other || found.size !== ours.length) {
    throw new Error(
      `Needs differ from the hand-written SQL: ${ours.length} against ${found.size}, first ${JSON.stringify(other)}`,
    );
  }
}
