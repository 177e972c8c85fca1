import { randomUUID } from 'node:crypto';
import pg from 'pg';
import type { SeasonProgressRow } from '../../shared/contract/season-progress.ts';
import { wireTypes } from '../db/types.ts';
import { systemClock } from '../domain/clock.ts';
import { freezeBaselineValues } from '../modules/season-progress/freeze-baseline.ts';
import { createSeasonProgress } from '../modules/season-progress/use-cases.ts';
import { createValueCurves } from '../modules/season-progress/value-curve.ts';
import { printBenchLine } from './bench-line.ts';
import { interleaved } from './median-time.ts';
import type { BenchProgramme, Season } from './season-database.ts';
import { waitForStatistics } from './table-statistics.ts';

const ROUNDS = 5;
/** In the middle of the season: half of the builds have begun. */
const DATA_DATE = '2026-04-05';

const PLAN_SQL = `
  insert into season_plan (organisation_id, id, programme_id, code, purpose, standing, version_number, starts_on,
    finishes_on, bound_on, status, settings, figures, engine_version, created_by_id, published_by_id, published_at)
  select $1, $3::uuid, $2, 'SP-' || left($3::uuid::text, 8), 'plan', 'published', 1, '2026-01-05', '2026-12-31', '2026-12-31',
    'feasible', '{}', '{}', 'bench', $4, $4, now()`;

/** A stage a day, one after the other, from the planned start on. */
const STAGES_SQL = `
  insert into season_plan_stage (organisation_id, season_plan_id, build_id, stage_code, starts_on, finishes_on,
    standing, waits_for)
  select $1, $3, b.id, 'stage-' || n, b.planned_start_on + n, b.planned_start_on + n, 'planned', '{"kind":"nothing"}'
  from build b, generate_series(0, 17) n where b.organisation_id = $1 and b.programme_id = $2`;

/** Every build that was to begin by the data date did, a few days late, and every tenth stage waits. */
const STANDINGS_SQL = `
  insert into build_stage_standing (organisation_id, build_id, stage_code, since_on, until_on, status)
  select $1, b.id, 'stage-' || n, d.day + k.turn, case when k.turn = 0 and d.is_accepted then d.day + 1 end,
    case k.turn when 0 then 'in-progress' else 'accepted' end
  from build b, generate_series(0, 17) n, generate_series(0, 1) k (turn),
    lateral (select b.planned_start_on + n + (right(b.code, 6)::integer % 5) as day,
      (right(b.code, 6)::integer + n) % 10 > 0 as is_accepted) d
  where b.organisation_id = $1 and b.programme_id = $2 and d.day + k.turn <= $3::date
    and (k.turn = 0 or d.is_accepted)`;

const BEGUN_SQL = `
  update build set started_on = planned_start_on
  where organisation_id = $1 and programme_id = $2 and planned_start_on <= $3`;

const COSTS_SQL = `
  insert into cost_entry (organisation_id, id, programme_id, build_id, state, funding, occurred_on, description,
    amount, currency, recorded_by_id)
  select $1, gen_random_uuid(), $2, b.id, state, 'cash', b.started_on + 3, 'Bench', amount, 'EUR', $3
  from build b, (values ('accrued', 41.37), ('paid', 62.05), ('committed', 10)) as c (state, amount)
  where b.organisation_id = $1 and b.programme_id = $2 and b.started_on + 3 <= $4::date`;

/** The four sums by village as a careful person would ask for them, who knows that nothing else counts. */
const HAND_WRITTEN_SQL = `
  select b.village_id as id, sum(t.bac) as bac, sum(t.pv) as pv, sum(t.ev) as ev, sum(c.amount) as ac
  from (
    select v.build_id, sum(v.amount) as bac, sum(v.amount) filter (where s.finishes_on <= $4) as pv,
      sum(v.amount) filter (where d.status = 'accepted') as ev
    from season_plan_value v
      join season_plan_stage s on s.organisation_id = $1 and s.season_plan_id = $3
        and s.build_id = v.build_id and s.stage_code = v.stage_code
      left join build_stage_standing d on d.organisation_id = $1 and d.build_id = v.build_id
        and d.stage_code = v.stage_code and d.since_on <= $4 and (d.until_on is null or d.until_on > $4)
    where v.organisation_id = $1 and v.season_plan_id = $3
    group by v.build_id
  ) t
    join build b on b.organisation_id = $1 and b.id = t.build_id
    left join (
      select build_id, sum(amount) as amount from cost_entry
      where organisation_id = $1 and programme_id = $2 and state in ('accrued', 'paid') and funding = 'cash'
        and occurred_on <= $4
      group by build_id
    ) c on c.build_id = b.id
  group by b.village_id`;

const PLANNED_BY_DAY_SQL = `
  select s.finishes_on, sum(v.amount) from season_plan_value v
    join season_plan_stage s on s.organisation_id = $1 and s.season_plan_id = $2
      and s.build_id = v.build_id and s.stage_code = v.stage_code
  where v.organisation_id = $1 and v.season_plan_id = $2 group by s.finishes_on order by s.finishes_on`;

const BILLS_SQL = `
  select sum(l.amount) from build b join bill_line l on l.organisation_id = $1 and l.build_id = b.id
  where b.organisation_id = $1 and b.programme_id = $2 and b.cancelled_on is null and not l.is_in_kind`;

const TABLES = [
  ...['build', 'bill_line', 'season_plan_value', 'season_plan_stage'],
  ...['build_stage_standing', 'cost_entry'],
];

interface ByHand {
  readonly id: string;
  readonly bac: string;
  readonly pv: string;
  readonly ev: string;
  readonly ac: string | null;
}

/** Progress and money of a whole season through its use-cases, against SQL written by hand. */
export async function benchSeasonProgress(
  season: Season,
  programme: BenchProgramme,
): Promise<void> {
  const { actor, db, appUrl } = season;
  const { programmeId, buildCount } = programme;
  const planId = await makeProgress(season, programme);
  const clock = { ...systemClock, today: () => '2027-01-01' };
  const progress = createSeasonProgress(clock);
  const curves = createValueCurves(clock);
  const plain = new pg.Client({
    connectionString: appUrl,
    types: wireTypes,
    options: `-c app.organisation_id=${actor.organisationId}`,
  });
  await plain.connect();
  const [org, values] = [actor.organisationId, [programmeId, planId, DATA_DATE]];
  const byHand = async () => {
    const { rows } = await plain.query<ByHand>(HAND_WRITTEN_SQL, [org, ...values]);
    await plain.query(PLANNED_BY_DAY_SQL, [org, planId]);
    await plain.query(BILLS_SQL, [org, programmeId]);
    return rows;
  };
  const asked = { dataDate: DATA_DATE, earningRule: '0-100' as const };
  const ours = (by: 'village' | 'grant') =>
    db.withTenant(actor, (tx) => progress.progress(tx, programmeId, { ...asked, by, limit: 50 }), {
      statementTimeoutMs: 60_000,
    });
  const against =
    'baseline: hand-written SQL for planned, earned and actual by village, planned value by day and the sum of bills on one connection';
  try {
    const hasStatistics = await waitForStatistics(plain, TABLES);
    const note = `of ${buildCount} builds of 18 stages, half begun, with reconciliation and earned schedule${hasStatistics ? '' : ', tables without statistics'}`;
    requireSame((await ours('village')).items, await byHand());
    for (const by of ['village', 'grant'] as const) {
      const { oursMs, baselineMs } = await interleaved(ROUNDS, () => ours(by), byHand);
      printBenchLine({
        name: `season-progress-by-${by}-${buildCount}-builds`,
        value: oursMs,
        unit: 'ms',
        baseline: baselineMs,
        note: `progress by ${by} ${note}; ${against}`,
      });
    }
    const curve = () =>
      db.withTenant(actor, (tx) => curves.curve(tx, programmeId, { ...asked, step: 'week' }), {
        statementTimeoutMs: 60_000,
      });
    const { oursMs, baselineMs } = await interleaved(ROUNDS, curve, byHand);
    printBenchLine({
      name: `value-curve-${buildCount}-builds`,
      value: oursMs,
      unit: 'ms',
      baseline: baselineMs,
      note: `weekly curve of ${buildCount} builds with earliest and latest; ${against}, one day alone`,
    });
  } finally {
    await plain.end();
  }
}

async function makeProgress({ db, actor }: Season, { programmeId }: BenchProgramme) {
  const planId = randomUUID();
  const of = [actor.organisationId, programmeId];
  await db.withTenant(
    actor,
    async (tx) => {
      await tx.sql(PLAN_SQL, [...of, planId, actor.personId]);
      await tx.sql(STAGES_SQL, [...of, planId]);
      await freezeBaselineValues(tx, planId);
      await tx.sql(BEGUN_SQL, [...of, DATA_DATE]);
      await tx.sql(STANDINGS_SQL, [...of, DATA_DATE]);
      await tx.sql(COSTS_SQL, [...of, actor.personId, DATA_DATE]);
    },
    { statementTimeoutMs: 300_000 },
  );
  return planId;
}

/** Both answers hold the same sums, or the times say nothing. */
function requireSame(ours: readonly SeasonProgressRow[], byHand: readonly ByHand[]): void {
  const found = new Map(byHand.map((row) => [row.id, row]));
  const differs = ours.find((row) => {
    const hand = found.get(row.id ?? '');
    const pairs = [
      [row.budgetAtCompletion, hand?.bac],
      [row.plannedValue, hand?.pv],
      [row.earnedValue, hand?.ev],
      [row.actualCost, hand?.ac],
    ] as const;
    return pairs.some(([money, text]) => Number(money.amount) !== Number(text ?? 0));
  });
  const isEarned = ours.some(({ earnedValue }) => Number(earnedValue.amount) > 0);
  if (differs || ours.length !== byHand.length || !isEarned) {
    throw new Error(`Progress differs from the hand-written SQL: ${JSON.stringify(differs)}`);
  }
}
