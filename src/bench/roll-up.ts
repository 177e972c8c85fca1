import pg from 'pg';
import { createBills } from '../modules/bills/use-cases.ts';
import { printBenchLine } from './bench-line.ts';
import { interleaved } from './median-time.ts';
import type { BenchProgramme, Season } from './season-database.ts';

const ROUNDS = 7;

/** What a careful person would write by hand for the same totals: summed before names are joined. */
const HAND_WRITTEN_SQL = `
  select t.*, m.code, m.name from (
    select l.part, l.stage_code, l.material_id, l.unit_code, l.is_in_kind, sum(l.net_quantity) as net,
      sum(l.with_waste_quantity) as with_waste, sum(l.amount) as amount
    from build b
      join bill_line l on l.organisation_id = b.organisation_id and l.build_id = b.id
    where b.organisation_id = $1 and b.programme_id = $2 and b.cancelled_on is null
    group by l.part, l.stage_code, l.material_id, l.unit_code, l.is_in_kind
  ) t
  join material m on m.organisation_id = $1 and m.id = t.material_id`;

/** The bill of a whole programme through its use-case, against the best SQL written by hand. */
export async function benchRollUp(season: Season, programme: BenchProgramme): Promise<void> {
  const { actor, db } = season;
  const bills = createBills();
  const { programmeId, buildCount } = programme;
  const plain = new pg.Client({
    connectionString: season.appUrl,
    options: `-c app.organisation_id=${actor.organisationId}`,
  });
  await plain.connect();
  try {
    const { oursMs, baselineMs } = await interleaved(
      ROUNDS,
      () => db.withTenant(actor, (tx) => bills.totals(tx, { programmeId })),
      () => plain.query(HAND_WRITTEN_SQL, [actor.organisationId, programmeId]),
    );
    printBenchLine({
      name: `roll-up-${buildCount}-builds`,
      value: oursMs,
      unit: 'ms',
      baseline: baselineMs,
      note: `programme bill of ${buildCount} builds of 30 lines; baseline: hand-written SQL on one connection`,
    });
  } finally {
    await plain.end();
  }
}
