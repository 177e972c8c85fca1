import pg from 'pg';
import { wireTypes } from '../db/types.ts';
import { systemClock } from '../domain/clock.ts';
import { createMaterialUse } from '../modules/material-use/use-cases.ts';
import { createStockLots } from '../modules/stock-lots/use-cases.ts';
import { printBenchLine } from './bench-line.ts';
import { interleaved } from './median-time.ts';
import type { BenchProgramme, Season } from './season-database.ts';
import { addTracedStock } from './traced-stock.ts';

const ROUNDS = 9;

/** The builds of a lot with crew, visits and open findings, as a careful person would ask by hand. */
const HAND_WRITTEN_SQL = `
  with used as (
    select build_id, -sum(quantity) as used, array_agg(distinct stage_code) as stages from stock_entry
    where organisation_id = $1 and lot_id = $2 and kind in ('issue', 'return') group by build_id)
  select b.code, v.code as village, c.code as crew, u.used, u.stages, i.inspected_on, i.condition, f.part, a.due_on,
    (select array_agg(distinct l.stage_code) from bill_line l
      where l.organisation_id = $1 and l.build_id = b.id and l.material_id = k.material_id) as bill_stages
  from used u
    join stock_lot k on k.organisation_id = $1 and k.id = $2
    join build b on b.organisation_id = $1 and b.id = u.build_id
    join village v on v.organisation_id = $1 and v.id = b.village_id
    left join crew c on c.organisation_id = $1 and c.id = b.crew_id
    left join inspection i on i.organisation_id = $1 and i.build_id = b.id
    left join finding f on f.organisation_id = $1 and f.inspection_id = i.id
    left join corrective_action a on a.organisation_id = $1 and a.finding_id = f.id and a.closed_on is null
  order by b.code`;

const HAND_WRITTEN_RECEIPTS_SQL = `
  select e.quantity, s.code, o.code as order_code from stock_entry e
    join store s on s.organisation_id = $1 and s.id = e.store_id
    left join purchase_order_line l on l.organisation_id = $1 and l.id = e.order_line_id
    left join purchase_order o on o.organisation_id = $1 and o.id = l.order_id
  where e.organisation_id = $1 and e.lot_id = $2 and e.kind = 'receive'`;

const HAND_WRITTEN_STORES_SQL = `
  select s.code, b.quantity from stock_lot_balance b join store s on s.organisation_id = $1 and s.id = b.store_id
  where b.organisation_id = $1 and b.lot_id = $2 and b.quantity > 0`;

/** From a lot to every build it went to, through the use-case, against SQL written by hand. */
export async function benchLotTrace(season: Season, programme: BenchProgramme): Promise<void> {
  const { actor, db, appUrl } = season;
  const stock = await addTracedStock(season, programme);
  const lots = createStockLots(systemClock);
  const plain = new pg.Client({
    connectionString: appUrl,
    types: wireTypes,
    options: `-c app.organisation_id=${actor.organisationId}`,
  });
  await plain.connect();
  const byHand = async (lotId: string) => {
    for (const text of [HAND_WRITTEN_SQL, HAND_WRITTEN_RECEIPTS_SQL, HAND_WRITTEN_STORES_SQL]) {
      await plain.query(text, [actor.organisationId, lotId]);
    }
  };
  const size = `${programme.buildCount} builds, ${stock.lotCount} lots, ${stock.entryCount} stock entries`;
  try {
    for (const [name, lotId] of [
      ['lot-trace', stock.usualLotId],
      ['lot-trace-to-2000-builds', stock.spreadLotId],
    ] as const) {
      const { buildCount } = await db.withTenant(actor, (tx) => lots.trace(tx, lotId));
      const { oursMs, baselineMs } = await interleaved(
        ROUNDS,
        () => db.withTenant(actor, (tx) => lots.trace(tx, lotId)),
        () => byHand(lotId),
      );
      printBenchLine({
        name,
        value: oursMs,
        unit: 'ms',
        baseline: baselineMs,
        note: `a lot that went to ${buildCount} builds, among ${size}; baseline: hand-written SQL on one connection, names and sums of the road left out`,
      });
    }
    const use = createMaterialUse();
    const { oursMs, baselineMs } = await interleaved(
      ROUNDS,
      () =>
        db.withTenant(actor, (tx) =>
          use.ofProgramme(tx, programme.programmeId, { groupBy: 'material', limit: 50 }),
        ),
      () => plain.query(HAND_WRITTEN_USE_SQL, [actor.organisationId, programme.programmeId]),
    );
    printBenchLine({
      name: 'material-consumption',
      value: oursMs,
      unit: 'ms',
      baseline: baselineMs,
      note: `bill against use by material over ${size}; baseline: hand-written SQL on one connection`,
    });
  } finally {
    await plain.end();
  }
}

const HAND_WRITTEN_USE_SQL = `
  with got as (
    select e.build_id, e.material_id, -sum(e.quantity) as used from stock_entry e
      join build b on b.organisation_id = $1 and b.id = e.build_id
    where e.organisation_id = $1 and b.programme_id = $2 and b.cancelled_on is null and e.kind in ('issue', 'return')
    group by e.build_id, e.material_id),
  need as (
    select l.build_id, l.material_id, sum(l.net_quantity) as net, sum(l.with_waste_quantity) as bill from bill_line l
    where l.organisation_id = $1 and exists (select from got where got.build_id = l.build_id and got.material_id = l.material_id)
    group by l.build_id, l.material_id)
  select m.code, count(*), sum(n.net), sum(n.bill), sum(g.used) from got g
    join material m on m.organisation_id = $1 and m.id = g.material_id
    left join need n on n.build_id = g.build_id and n.material_id = g.material_id
  group by m.code order by m.code`;
