import type { Tx } from '../../db/database.ts';

export interface GrantSource {
  readonly id: string;
  readonly code: string;
  readonly title: string;
  readonly currency: string;
  readonly amount: string;
  readonly donor_id: string;
  readonly donor_name: string;
  readonly programme_name: string;
}

export interface BuildSource {
  readonly id: string;
  readonly code: string;
  readonly village_name: string;
  readonly capacity_l: number;
  readonly people_served: number;
  readonly share_ratio: string;
  /** Modelled mean yield of the chosen tank over the rain record; null when the site was not sized. */
  readonly mean_yield_l_per_day: number | null;
}

/** Where a build stood at the end of a day, by the facts observed until then. */
export interface Standing {
  readonly status: string;
  readonly percentComplete: string;
  readonly handedOverOn: string | null;
}

export type StandingsOn = (
  tx: Tx,
  buildIds: readonly string[],
  day: string,
) => Promise<ReadonlyMap<string, Standing>>;

export type BuildAtDate = BuildSource & Standing;

export interface CostSource {
  readonly id: string;
  readonly state: 'committed' | 'accrued' | 'paid';
  readonly funding: 'cash' | 'in-kind';
  readonly occurred_on: string;
  readonly description: string;
  readonly grant_amount: string;
  readonly budget_line_id: string | null;
}

export interface BudgetLineSource {
  readonly id: string;
  readonly code: string;
  readonly title: string;
  readonly amount: string;
}

const GRANT_SQL = `
  select g.id, g.code, g.title, g.currency, g.amount::text, d.id as donor_id, d.name as donor_name,
    p.name as programme_name
  from grant_agreement g
    join donor d on d.organisation_id = g.organisation_id and d.id = g.donor_id
    join programme p on p.organisation_id = g.organisation_id and p.id = g.programme_id
  where g.organisation_id = $1 and g.id = $2`;

const BUILDS_SQL = `
  select b.id, b.code, v.name as village_name, r.capacity_l, s.people_served,
    trim_scale(gs.share_ratio)::text as share_ratio, z.mean_yield_l_per_day
  from build_grant_share gs
    join build b on b.organisation_id = gs.organisation_id and b.id = gs.build_id
    join village v on v.organisation_id = b.organisation_id and v.id = b.village_id
    join site s on s.organisation_id = b.organisation_id and s.id = b.site_id
    join design_revision r on r.organisation_id = b.organisation_id and r.id = b.design_revision_id
    left join site_sizing z on z.organisation_id = b.organisation_id and z.site_id = b.site_id
      and z.is_latest and z.design_revision_id = b.design_revision_id
  where gs.organisation_id = $1 and gs.grant_id = $2 and (b.cancelled_on is null or b.cancelled_on > $3)
  order by b.code`;

const COSTS_SQL = `
  select id, state, funding, occurred_on, description, grant_amount::text, budget_line_id
  from cost_entry
  where organisation_id = $1 and grant_id = $2 and occurred_on <= $3
  order by occurred_on, id`;

const BUDGET_SQL = `
  select id, code, title, amount::text from budget_line
  where organisation_id = $1 and grant_id = $2 order by code`;

/** Everything that a report of one grant is made from, up to and including the data date. */
export async function readSources(
  tx: Tx,
  grantId: string,
  dataOn: string,
  standingsOn: StandingsOn,
) {
  const scope = [tx.organisationId, grantId];
  const [grant] = await tx.sql<GrantSource>(GRANT_SQL, scope);
  if (!grant) return null;
  const builds = await tx.sql<BuildSource>(BUILDS_SQL, [...scope, dataOn]);
  const standings = await standingsOn(
    tx,
    builds.map(({ id }) => id),
    dataOn,
  );
  return {
    grant,
    builds: builds.map(
      (build): BuildAtDate => ({ ...build, ...(standings.get(build.id) ?? UNSTARTED) }),
    ),
    costs: await tx.sql<CostSource>(COSTS_SQL, [...scope, dataOn]),
    budgetLines: await tx.sql<BudgetLineSource>(BUDGET_SQL, scope),
  };
}

const UNSTARTED: Standing = { status: 'planned', percentComplete: '0', handedOverOn: null };

export type ReportSources = NonNullable<Awaited<ReturnType<typeof readSources>>>;
