import type { ProgressGrouping } from '../../../shared/contract/season-progress.ts';
import type { Tx } from '../../db/database.ts';

/** Costs of a programme until a day; by day when a curve is drawn, else in one. */
export interface CostScope {
  readonly programmeId: string;
  readonly currency: string;
  readonly dataOn: string;
  readonly by: ProgressGrouping;
  readonly isDaily: boolean;
}

interface Dated {
  readonly on: string;
}

/** Accrued and paid beside orders. */
export interface EntrySum extends Dated {
  readonly funding: 'cash' | 'in-kind';
  readonly key: string | null;
  readonly hasBuild: boolean;
  readonly amount: string;
}

/** Accrued and paid for an order, by who pays. */
export interface OrderSum extends Dated {
  readonly orderId: string;
  readonly grantId: string | null;
  readonly buildId: string | null;
  readonly key: string | null;
  readonly amount: string;
}

/** A line of an order whose costs the ledger follows. */
export interface OrderLine {
  readonly id: string;
  readonly orderId: string;
  readonly materialId: string;
  readonly orderedQuantity: string;
  readonly amount: string;
}

export interface LineQuantity extends Dated {
  readonly lineId: string;
  /** Null for what is no lot, and for what was paid. */
  readonly lotId: string | null;
  readonly quantity: string;
}

/** Movements of goods of which orders of the programme brought some. */
export interface GoodsFlow extends Dated {
  readonly materialId: string;
  readonly lotId: string | null;
  /**
   * received: for an order of the programme in `programmeId`, or from elsewhere; used: issued to builds
   * of a programme less what came back; in-hand: what all movements leave in stores and on the road.
   */
  readonly role: 'received' | 'used' | 'in-hand';
  readonly programmeId: string | null;
  readonly buildId: string | null;
  readonly key: string | null;
  readonly quantity: string;
}

const KEYS: Readonly<Record<ProgressGrouping, { readonly entry: string; readonly build: string }>> =
  {
    build: { entry: 'e.build_id', build: 'b.id' },
    village: { entry: 'b.village_id', build: 'b.village_id' },
    crew: { entry: 'b.crew_id', build: 'b.crew_id' },
    grant: { entry: 'e.grant_id', build: 'null::uuid' },
    programme: { entry: 'null::uuid', build: 'null::uuid' },
  };

const dayOf = (column: string, isDaily: boolean) => (isDaily ? column : '$3::date');

const COST_ENTRIES = `
  from cost_entry e left join build b on b.organisation_id = e.organisation_id and b.id = e.build_id
  where e.organisation_id = $1 and e.programme_id = $2 and e.occurred_on <= $3
    and e.state in ('accrued', 'paid')`;

const entrySumsSql = (by: ProgressGrouping, isDaily: boolean) => `
  select ${dayOf('e.occurred_on', isDaily)} as "on", e.funding, ${KEYS[by].entry} as key,
    e.build_id is not null as "hasBuild", sum(e.amount) as amount
  ${COST_ENTRIES} and e.currency = $4 and (e.funding = 'in-kind' or not e.follows_order)
  group by 1, 2, 3, 4`;

const orderSumsSql = (by: ProgressGrouping, isDaily: boolean) => `
  select ${dayOf('e.occurred_on', isDaily)} as "on", e.order_id as "orderId", e.grant_id as "grantId",
    e.build_id as "buildId", ${KEYS[by].entry} as key, sum(e.amount) as amount
  ${COST_ENTRIES} and e.currency = $4 and e.funding = 'cash' and e.follows_order
  group by 1, 2, 3, 4, 5`;

const TOTAL_SQL = `
  select coalesce(sum(e.amount), 0) as amount ${COST_ENTRIES} and e.currency = $4 and e.funding = 'cash'`;

const OTHER_CURRENCIES_SQL = `
  select e.currency, sum(e.amount) as amount ${COST_ENTRIES} and e.currency <> $4
  group by e.currency having sum(e.amount) <> 0 order by e.currency`;

const LINES = `
  from purchase_order o join purchase_order_line l on l.organisation_id = $1 and l.order_id = o.id
  where o.organisation_id = $1 and o.programme_id = $2 and o.currency = $4 and o.cost_shares is not null`;

const LINES_SQL = `
  select l.id, l.order_id as "orderId", l.material_id as "materialId",
    l.ordered_quantity as "orderedQuantity", l.amount
  ${LINES} and $3::date is not null order by l.id`;

const receivedSql = (isDaily: boolean) => `
  select ${dayOf('e.observed_on', isDaily)} as "on", l.id as "lineId", e.lot_id as "lotId", sum(e.quantity) as quantity
  from stock_entry e join (select l.id ${LINES}) l on l.id = e.order_line_id
  where e.organisation_id = $1 and e.kind = 'receive' and e.observed_on <= $3
  group by 1, 2, 3 order by 2, 3, 1`;

const paidSql = (isDaily: boolean) => `
  select ${dayOf('i.paid_on', isDaily)} as "on", l.id as "lineId", null as "lotId",
    sum(p.invoiced_quantity) as quantity
  from supplier_invoice_line p
    join (select l.id ${LINES}) l on l.id = p.order_line_id
    join supplier_invoice i on i.organisation_id = $1 and i.id = p.invoice_id
  where p.organisation_id = $1 and i.status = 'paid' and i.paid_on <= $3
  group by 1, 2 order by 2, 1`;

const flowsSql = (by: ProgressGrouping, isDaily: boolean) => `
  with line as (
    select l.id, o.programme_id, o.currency from purchase_order o
      join purchase_order_line l on l.organisation_id = $1 and l.order_id = o.id
    where o.organisation_id = $1 and o.cost_shares is not null
  ),
  pool as (
    select distinct e.material_id, e.lot_id
    from stock_entry e join line l on l.id = e.order_line_id
    where e.organisation_id = $1 and e.kind = 'receive' and e.observed_on <= $3
      and l.programme_id = $2 and l.currency = $4
  ),
  moved as (
    select e.*, ${dayOf('e.observed_on', isDaily)} as on_day
    from stock_entry e
      join pool p on p.material_id = e.material_id and p.lot_id is not distinct from e.lot_id
    where e.organisation_id = $1 and e.observed_on <= $3
  )
  select on_day as "on", material_id as "materialId", lot_id as "lotId", 'received' as role,
    l.programme_id as "programmeId", null::uuid as "buildId", null::uuid as key, sum(e.quantity) as quantity
  from moved e left join line l on l.id = e.order_line_id
  where e.kind = 'receive' or (e.kind = 'return' and e.build_id is null)
  group by 1, 2, 3, 5
  union all
  select on_day, material_id, lot_id, 'used', b.programme_id,
    case when b.programme_id = $2 and ${by === 'grant' || by === 'programme' ? 'false' : 'true'} then b.id end,
    case when b.programme_id = $2 then ${KEYS[by].build} end, -sum(e.quantity)
  from moved e join build b on b.organisation_id = $1 and b.id = e.build_id
  where e.kind in ('issue', 'return')
  group by 1, 2, 3, 5, 6, 7
  union all
  select on_day, material_id, lot_id, 'in-hand', null, null, null, sum(quantity) from moved group by 1, 2, 3
  union all
  select ${dayOf('d.dispatched_on', isDaily)}, l.material_id, l.lot_id, 'in-hand', null, null, null,
    sum(l.dispatched_quantity)
  from stock_dispatch d
    join stock_dispatch_line l on l.organisation_id = $1 and l.dispatch_id = d.id
    join pool p on p.material_id = l.material_id and p.lot_id is not distinct from l.lot_id
  where d.organisation_id = $1 and d.dispatched_on <= $3
  group by 1, 2, 3
  union all
  select ${dayOf('a.arrived_on', isDaily)}, l.material_id, l.lot_id, 'in-hand', null, null, null,
    -sum(l.dispatched_quantity)
  from stock_arrival a
    join stock_dispatch_line l on l.organisation_id = $1 and l.dispatch_id = a.dispatch_id
    join pool p on p.material_id = l.material_id and p.lot_id is not distinct from l.lot_id
  where a.organisation_id = $1 and a.arrived_on <= $3
  group by 1, 2, 3`;

const valuesOf = (tx: Tx, { programmeId, dataOn, currency }: CostScope) => [
  tx.organisationId,
  programmeId,
  dataOn,
  currency,
];

export interface CostRows {
  readonly entries: readonly EntrySum[];
  readonly orders: readonly OrderSum[];
  readonly lines: readonly OrderLine[];
  readonly received: readonly LineQuantity[];
  readonly paid: readonly LineQuantity[];
  readonly flows: readonly GoodsFlow[];
}

/** Everything that the actual cost of a programme is made from. */
export async function readCosts(tx: Tx, scope: CostScope): Promise<CostRows> {
  const { by, isDaily } = scope;
  const values = valuesOf(tx, scope);
  const entries = await tx.sql<EntrySum>(entrySumsSql(by, isDaily), values);
  const orders = await tx.sql<OrderSum>(orderSumsSql(by, isDaily), values);
  if (orders.length === 0) {
    return { entries, orders, lines: [], received: [], paid: [], flows: [] };
  }
  return {
    entries,
    orders,
    lines: await tx.sql<OrderLine>(LINES_SQL, values),
    received: await tx.sql<LineQuantity>(receivedSql(isDaily), values),
    paid: await tx.sql<LineQuantity>(paidSql(isDaily), values),
    flows: await tx.sql<GoodsFlow>(flowsSql(by, isDaily), values),
  };
}

/** All cash entries accrued and paid, added up by themselves. */
export async function accruedAndPaid(tx: Tx, scope: CostScope): Promise<string> {
  const [row] = await tx.sql<{ amount: string }>(TOTAL_SQL, valuesOf(tx, scope));
  return row?.amount ?? '0';
}

export const otherCurrencies = (tx: Tx, scope: CostScope) =>
  tx.sql<{ currency: string; amount: string }>(OTHER_CURRENCIES_SQL, valuesOf(tx, scope));
