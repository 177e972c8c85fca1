import type { Tx } from '../../db/database.ts';

export interface OrderParties {
  readonly organisationName: string;
  readonly programmeName: string;
  readonly supplierPlace: string;
  readonly villageDistrict: string;
  readonly requestedByName: string | null;
  /** Who approved it as it stands. */
  readonly approvedByName: string | null;
}

const PARTIES_SQL = `
  select g.name as "organisationName", p.name as "programmeName", coalesce(s.place, '') as "supplierPlace",
    coalesce(v.district, '') as "villageDistrict",
    (select name from person where organisation_id = o.organisation_id and id = o.requested_by_id)
      as "requestedByName",
    (select d.name from order_decision c
      join person d on d.organisation_id = c.organisation_id and d.id = c.decided_by_id
      where c.organisation_id = o.organisation_id and c.order_id = o.id and c.decision = 'approved'
      order by c.decided_at desc, c.id desc limit 1) as "approvedByName"
  from purchase_order o
    join organisation g on g.id = o.organisation_id
    join programme p on p.organisation_id = o.organisation_id and p.id = o.programme_id
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join village v on v.organisation_id = o.organisation_id and v.id = o.delivery_village_id
  where o.organisation_id = $1 and o.id = $2`;

/** Who stands on the paper of an order. */
export async function findParties(tx: Tx, orderId: string): Promise<OrderParties | null> {
  const [row] = await tx.sql<OrderParties>(PARTIES_SQL, [tx.organisationId, orderId]);
  return row ?? null;
}

const CATEGORIES_SQL = `
  select distinct m.code, m.name, m.category from purchase_order_line l
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
  where l.organisation_id = $1 and l.order_id = $2 order by m.code`;

export interface HandledMaterial {
  readonly code: string;
  readonly name: string;
  readonly category: string;
}

export const listMaterials = (tx: Tx, orderId: string): Promise<HandledMaterial[]> =>
  tx.sql<HandledMaterial>(CATEGORIES_SQL, [tx.organisationId, orderId]);
