import { PERIOD } from './chain-report.ts';
import type { ChainSeason } from './chain-season.ts';
import type { TestService } from './service.ts';

/** Tanks of a grant that were handed over, from the field's records and not from the builds' own state. */
const DONE = `
  select b.id, g.share_ratio, r.capacity_l::text::numeric as capacity_l, s.people_served,
    z.mean_yield_l_per_day::text::numeric as mean_yield
  from build_grant_share g
    join build b on b.id = g.build_id
    join design_revision r on r.id = b.design_revision_id
    join site s on s.id = b.site_id
    join stage_record h on h.build_id = b.id and h.stage_code = 'handover'
      and h.kind = 'hold-released' and h.observed_on between $2 and $3
    left join site_sizing z on z.site_id = b.site_id and z.is_latest
  where g.grant_id = $1 and b.cancelled_on is null`;

const COST = `
  select id, state, funding, occurred_on, grant_amount from cost_entry
  where grant_id = $1 and occurred_on <= $3`;

const cash = (...states: string[]) =>
  `(select coalesce(sum(grant_amount), 0) from cost
    where funding = 'cash' and state in (${states.map((state) => `'${state}'`).join(', ')}))`;
const own = (value: string) =>
  `(select coalesce(sum(round(share_ratio * ${value}, 8)), 0) from done)`;

const TANKS = '(select coalesce(sum(share_ratio), 0) from done)';
const SPENT = cash('accrued', 'paid');
const plain = (value: string) => `trim_scale(${value})::text`;
const per = (divisor: string, decimals: number) =>
  `round(${SPENT} / nullif(${divisor}, 0), ${decimals})::text`;

const FIGURES: Readonly<Record<string, string>> = {
  'tanks-handed-over': '(select count(*)::text from done)',
  'tanks-own-share': plain(TANKS),
  storage: plain('(select coalesce(sum(round(capacity_l, 8)), 0) from done)'),
  'storage-own-share': plain(own('capacity_l')),
  'people-served': '(select coalesce(sum(people_served), 0)::text from done)',
  'people-own-share': plain(own('people_served')),
  'yield-per-person': `(select round(sum(round(mean_yield, 3)) / sum(people_served), 1)::text
    from done where mean_yield is not null and people_served > 0)`,
  'committed-to-date': plain(cash('committed')),
  'accrued-to-date': plain(cash('accrued')),
  'paid-to-date': plain(cash('paid')),
  'paid-in-period': plain(
    `(select coalesce(sum(grant_amount), 0) from cost
      where funding = 'cash' and state = 'paid' and occurred_on >= $2)`,
  ),
  'spent-to-date': plain(SPENT),
  'in-kind-to-date': plain(
    `(select coalesce(sum(grant_amount), 0) from cost where funding = 'in-kind')`,
  ),
  'cost-per-tank': per(TANKS, 2),
  'cost-per-litre': per(own('capacity_l'), 4),
  'cost-per-person': per(own('people_served'), 2),
};

const FIGURES_SQL = `with done as (${DONE}), cost as (${COST})
  select ${Object.entries(FIGURES)
    .map(([code, value]) => `${value} as "${code}"`)
    .join(', ')}`;

const inState = (state: string) =>
  `round(coalesce(sum(c.grant_amount) filter (where c.state = '${state}'), 0), 2)::text as ${state}`;

const BUDGET_SQL = `
  with cost as (${COST} and funding = 'cash' and $2::date is not null)
  select l.code, round(l.amount, 2)::text as budget, ${inState('committed')}, ${inState('accrued')},
    ${inState('paid')}
  from budget_line l
    left join cost_entry e on e.budget_line_id = l.id
    left join cost c on c.id = e.id
  where l.grant_id = $1
  group by l.code, l.amount order by l.code`;

interface CostRow {
  readonly id: string;
  readonly state: string;
  readonly funding: string;
}

/** Every figure of a grant's report, its budget and the records behind, straight from the tables. */
export async function recount(service: TestService, { coordinator }: ChainSeason, grantId: string) {
  const scope = [grantId, PERIOD.periodFrom, PERIOD.dataOn];
  return service.as(coordinator.person, async (tx) => {
    const [figures = {}] = await tx.sql<Record<string, string | null>>(FIGURES_SQL, scope);
    const done = await tx.sql<{ id: string; is_sized: boolean }>(
      `select id, mean_yield is not null and people_served > 0 as is_sized from (${DONE}) done`,
      scope,
    );
    const costs = await tx.sql<CostRow>(`${COST} and $2::date is not null`, scope);
    return {
      figures,
      records: recordsByFigure(done, costs),
      budget: await tx.sql<Record<string, string>>(BUDGET_SQL, scope),
    };
  });
}

function recordsByFigure(
  done: readonly { id: string; is_sized: boolean }[],
  costs: readonly CostRow[],
): Record<string, string[]> {
  const tanks = done.map(({ id }) => id);
  const cashIn = (...states: string[]) =>
    costs
      .filter(({ state, funding }) => funding === 'cash' && states.includes(state))
      .map(({ id }) => id);
  const spent = cashIn('accrued', 'paid');
  const perTank = [...spent, ...tanks];
  const found: Record<string, string[]> = {
    'tanks-handed-over': tanks,
    'tanks-own-share': tanks,
    storage: tanks,
    'storage-own-share': tanks,
    'people-served': tanks,
    'people-own-share': tanks,
    'yield-per-person': done.filter(({ is_sized }) => is_sized).map(({ id }) => id),
    'committed-to-date': cashIn('committed'),
    'accrued-to-date': cashIn('accrued'),
    'paid-to-date': cashIn('paid'),
    'paid-in-period': cashIn('paid'),
    'spent-to-date': spent,
    'in-kind-to-date': costs.filter(({ funding }) => funding === 'in-kind').map(({ id }) => id),
    'cost-per-tank': perTank,
    'cost-per-litre': perTank,
    'cost-per-person': perTank,
  };
  return Object.fromEntries(Object.entries(found).map(([code, ids]) => [code, ids.sort()]));
}
