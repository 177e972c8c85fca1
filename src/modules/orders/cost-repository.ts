import type { Money } from '../../../shared/costing/money.ts';
import type { OrderCostLine } from '../../../shared/procurement/order-cost-standing.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import type { PayerShare } from '../cost-entries/order-ledger.ts';

/**
 * Each line's amount over the builds that need its material and are served by the order, by their
 * needs, and over the grants of each build by their shares.
 */
const SHARES_SQL = `
  with placed as (
    select * from purchase_order where organisation_id = $1 and id = $2
  ),
  served as (
    select b.id from placed o
      join order_plan_build pb on pb.organisation_id = $1 and pb.order_plan_id = o.order_plan_id
      join build b on b.organisation_id = $1 and b.id = pb.build_id
        and b.village_id = o.delivery_village_id and b.cancelled_on is null
    union
    select b.id from placed o
      join build b on b.organisation_id = $1 and b.programme_id = o.programme_id
        and b.village_id = o.delivery_village_id and b.cancelled_on is null
    where o.supply_plan_id is not null
  ),
  need as (
    select l.build_id, l.material_id, sum(l.with_waste_quantity) as quantity
    from served b join bill_line l on l.organisation_id = $1 and l.build_id = b.id
    where not l.is_in_kind and l.with_waste_quantity > 0
    group by l.build_id, l.material_id
  ),
  weighed as (
    select n.build_id,
      l.amount * n.quantity / sum(n.quantity) over (partition by n.material_id) as weight
    from purchase_order_line l join need n on n.material_id = l.material_id
    where l.organisation_id = $1 and l.order_id = $2
  )
  select g.grant_id as "grantId", null as "budgetLineId",
    case when count(distinct w.build_id) = 1 then (array_agg(w.build_id))[1] end as "buildId",
    trim_scale(round(sum(w.weight * coalesce(g.share_ratio, 1)), 6))::text as weight
  from weighed w
    left join build_grant_share g on g.organisation_id = $1 and g.build_id = w.build_id
  group by g.grant_id
  order by g.grant_id nulls last`;

const NOBODY_IN_PARTICULAR: PayerShare = {
  grantId: null,
  budgetLineId: null,
  buildId: null,
  weight: '1',
};

/** Who pays for an order: the grants of the builds that it serves, or the programme alone. */
export async function findCostShares(tx: Tx, orderId: string): Promise<readonly PayerShare[]> {
  const rows = await tx.sql<PayerShare>(SHARES_SQL, [tx.organisationId, orderId]);
  const weighed = rows.filter(({ weight }) => /[1-9]/.test(weight));
  return weighed.length > 0 ? weighed : [NOBODY_IN_PARTICULAR];
}

const KEPT_SQL = `
  select code, programme_id as "programmeId", status, currency, cost_shares as shares
  from purchase_order where organisation_id = $1 and id = $2`;

export interface KeptOrder {
  readonly code: string;
  readonly programmeId: string;
  readonly status: string;
  readonly currency: string;
  /** Null: placed before costs were followed, or not placed. */
  readonly shares: readonly PayerShare[] | null;
}

export async function findKeptOrder(tx: Tx, orderId: string): Promise<KeptOrder | null> {
  const [row] = await tx.sql<KeptOrder>(KEPT_SQL, [tx.organisationId, orderId]);
  return row ?? null;
}

const LINES_SQL = `
  select l.id, m.code as material_code, l.ordered_quantity, l.amount,
    coalesce((select sum(e.quantity) from stock_entry e where e.organisation_id = l.organisation_id
      and e.order_line_id = l.id and e.kind = 'receive'), 0) as received,
    coalesce(paid.quantity, 0) as paid, coalesce(paid.amount, 0) as invoiced
  from purchase_order_line l
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
    left join lateral (
      select sum(il.invoiced_quantity) as quantity, sum(il.amount) as amount
      from supplier_invoice_line il
        join supplier_invoice i on i.organisation_id = il.organisation_id and i.id = il.invoice_id
      where il.organisation_id = l.organisation_id and il.order_line_id = l.id and i.status = 'paid'
    ) paid on true
  where l.organisation_id = $1 and l.order_id = $2 order by m.code`;

const PAID_SQL = `
  select coalesce(sum(amount), 0) as amount, coalesce(sum(other_charges_amount), 0) as other
  from supplier_invoice where organisation_id = $1 and order_id = $2 and status = 'paid'`;

export interface CostLine extends OrderCostLine {
  readonly id: string;
  readonly materialCode: string;
  readonly invoicedAmount: Money;
}

interface CostLineRow {
  readonly id: string;
  readonly material_code: string;
  readonly ordered_quantity: string;
  readonly amount: string;
  readonly received: string;
  readonly paid: string;
  readonly invoiced: string;
}

/** Lines of an order with what was received and paid of them. */
export async function listCostLines(
  tx: Tx,
  orderId: string,
  currency: string,
): Promise<CostLine[]> {
  const rows = await tx.sql<CostLineRow>(LINES_SQL, [tx.organisationId, orderId]);
  return rows.map((row) => ({
    id: row.id,
    materialCode: row.material_code,
    orderedQuantity: quantityText(row.ordered_quantity),
    amount: moneyOf(row.amount, currency),
    receivedQuantity: quantityText(row.received),
    paidQuantity: quantityText(row.paid),
    invoicedAmount: moneyOf(row.invoiced, currency),
  }));
}

/** What the paid invoices of an order come to, and their charges beside the lines. */
export async function sumPaidInvoices(tx: Tx, orderId: string, currency: string) {
  const [row] = await tx.sql<{ amount: string; other: string }>(PAID_SQL, [
    tx.organisationId,
    orderId,
  ]);
  return {
    paid: moneyOf(row?.amount ?? '0', currency),
    otherCharges: moneyOf(row?.other ?? '0', currency),
  };
}
