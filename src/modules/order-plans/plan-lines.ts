import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';

/** A line of a plan with all that a buyer wants to read beside it. */
export interface PlanLine {
  readonly orderCode: string;
  readonly supplierCode: string;
  readonly supplierName: string;
  readonly villageCode: string;
  readonly villageName: string;
  readonly materialCode: string;
  readonly materialName: string;
  readonly unitCode: string;
  readonly needQuantity: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly packCount: number;
  readonly orderedQuantity: string;
  readonly roundingQuantity: string;
  readonly pricePerPack: string;
  readonly amount: string;
  readonly currency: string;
}

const LINES_SQL = `
  select o.code as "orderCode", s.code as "supplierCode", s.name as "supplierName",
    v.code as "villageCode", v.name as "villageName", m.code as "materialCode", m.name as "materialName",
    l.unit_code as "unitCode", l.need_quantity as "needQuantity", l.pack_code as "packCode",
    l.pack_content as "packContent", l.pack_count as "packCount", l.ordered_quantity as "orderedQuantity",
    l.rounding_quantity as "roundingQuantity", l.price_per_pack as "pricePerPack", l.amount, o.currency
  from purchase_order o
    join purchase_order_line l on l.organisation_id = o.organisation_id and l.order_id = o.id
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join village v on v.organisation_id = o.organisation_id and v.id = o.delivery_village_id
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where o.organisation_id = $1 and o.order_plan_id = $2
  order by o.code, m.code`;

/** The lines of all orders of a plan, by order and material. */
export async function listPlanLines(tx: Tx, planId: string): Promise<PlanLine[]> {
  const rows = await tx.sql<PlanLine>(LINES_SQL, [tx.organisationId, planId]);
  return rows.map((row) => ({
    ...row,
    needQuantity: quantityText(row.needQuantity),
    packContent: quantityText(row.packContent),
    orderedQuantity: quantityText(row.orderedQuantity),
    roundingQuantity: quantityText(row.roundingQuantity),
    pricePerPack: quantityText(row.pricePerPack),
    amount: moneyOf(row.amount, row.currency).amount,
  }));
}
