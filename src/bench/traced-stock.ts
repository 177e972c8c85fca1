import type { BenchProgramme, Season } from './season-database.ts';

/** Bench stock: 40 stores, one lot for twenty builds; each build got of two lots, each tenth of one more. */
export interface TracedStock {
  /** A lot that went to about forty builds. */
  readonly usualLotId: string;
  /** A lot that went to two thousand builds. */
  readonly spreadLotId: string;
  readonly lotCount: number;
  readonly entryCount: number;
}

const STORES_SQL = `
  insert into store (organisation_id, id, code, name, place)
  select $1, gen_random_uuid(), 'ST-' || $2 || '-' || n, 'Store ' || n, 'Bench' from generate_series(1, 40) n`;

const LOTS_SQL = `
  insert into stock_lot (organisation_id, id, material_id, code, manufactured_on, expires_on, recorded_by_id)
  select $1, gen_random_uuid(), m.id, 'L-' || lpad(n::text, 6, '0'), '2026-10-01', '2026-12-30', $3
  from material m, generate_series(0, $4::int) n where m.organisation_id = $1 and m.code = 'M-' || $2 || '-1'`;

const RECEIPTS_SQL = `
  insert into stock_entry (organisation_id, id, store_id, material_id, kind, quantity, unit_code, observed_on, lot_id,
    recorded_by_id)
  select $1, gen_random_uuid(), s.ids[1 + k.n % 40], k.material_id, 'receive', 1000000, 'KGM', '2026-10-02', k.id, $3
  from (select id, material_id, row_number() over (order by code) as n from stock_lot where organisation_id = $1) k,
    (select array_agg(id order by code) as ids from store where organisation_id = $1 and code like 'ST-' || $2 || '-%') s`;

/** Every build is issued of two lots; each tenth of the first 20,000 of the lot numbered 0 as well. */
const ISSUES_SQL = `
  insert into stock_entry (organisation_id, id, store_id, material_id, kind, quantity, unit_code, observed_on, lot_id,
    build_id, stage_code, recorded_by_id)
  select $1, gen_random_uuid(), r.store_id, k.material_id, 'issue', -50, 'KGM', '2026-10-20', k.id, b.id,
    case when b.n % 2 = 0 then 'first-coat' end, $2
  from (select id, row_number() over (order by code) as n from build where organisation_id = $1 and programme_id = $3) b
    cross join generate_series(0, 2) part
    join (select id, material_id, row_number() over (order by code) - 1 as n from stock_lot where organisation_id = $1) k
      on k.n = case part when 2 then 0 else 1 + (b.n * 2 + part) % $4::int end
    join stock_entry r on r.organisation_id = $1 and r.lot_id = k.id and r.kind = 'receive'
  where part < 2 or b.n % 10 = 0`;

const INSPECTIONS_SQL = `
  insert into inspection (organisation_id, id, build_id, kind, inspected_on, inspector_id, condition)
  select $1, gen_random_uuid(), id, 'event', '2026-11-01', $3, 'functional'
  from build where organisation_id = $1 and programme_id = $2`;

const FINDINGS_SQL = `
  with found as (
    insert into finding (organisation_id, id, inspection_id, part, severity, description)
    select $1, gen_random_uuid(), i.id, 'wall', 'minor', 'Hairline' from (
      select id, row_number() over () as n from inspection where organisation_id = $1) i where i.n % 5 = 0
    returning id)
  insert into corrective_action (organisation_id, id, finding_id, description, due_on)
  select $1, gen_random_uuid(), id, 'Watch', '2026-12-31' from found`;

/** Fills the stores of a programme's season, so that every build has lots, and a visit behind it. */
export async function addTracedStock(
  { db, actor }: Season,
  { programmeId, buildCount }: BenchProgramme,
): Promise<TracedStock> {
  const label = programmeId.slice(0, 8);
  const org = actor.organisationId;
  const lotCount = Math.max(1, Math.floor(buildCount / 20));
  const whole = { statementTimeoutMs: 600_000 };
  await db.withTenant(
    actor,
    async (tx) => {
      await tx.sql(STORES_SQL, [org, label]);
      await tx.sql(LOTS_SQL, [org, label, actor.personId, lotCount]);
      await tx.sql(RECEIPTS_SQL, [org, label, actor.personId]);
    },
    whole,
  );
  await db.withTenant(
    actor,
    async (tx) => {
      await tx.sql(ISSUES_SQL, [org, actor.personId, programmeId, lotCount]);
      await tx.sql(INSPECTIONS_SQL, [org, programmeId, actor.personId]);
      await tx.sql(FINDINGS_SQL, [org]);
    },
    whole,
  );
  return db.withTenant(actor, async (tx) => {
    const [spread, usual] = await tx.sql<{ id: string }>(
      'select id from stock_lot where organisation_id = $1 order by code limit 2',
      [org],
    );
    const [count] = await tx.sql<{ n: number }>(
      'select count(*) as n from stock_entry where organisation_id = $1',
      [org],
    );
    if (!spread || !usual) throw new Error('The bench has no lots');
    return {
      usualLotId: usual.id,
      spreadLotId: spread.id,
      lotCount: lotCount + 1,
      entryCount: count?.n ?? 0,
    };
  });
}
