import type { Tx } from '../../db/database.ts';

const ORDERS_SQL = `
  select o.id, o.code, o.version, l.id as line_id, l.material_id
  from purchase_order o
    join purchase_order_line l on l.organisation_id = o.organisation_id and l.order_id = o.id
  where o.organisation_id = $1 and o.code = any($2)
  order by o.code, l.id`;

export interface KnownOrder {
  readonly id: string;
  readonly version: number;
  /** Ids of the lines of each material. */
  readonly linesByMaterial: ReadonlyMap<string, readonly string[]>;
}

interface Row {
  id: string;
  code: string;
  version: number;
  line_id: string;
  material_id: string;
}

/** Orders by their codes, with the lines of each material. */
export async function ordersByCode(
  tx: Tx,
  codes: readonly string[],
): Promise<ReadonlyMap<string, KnownOrder>> {
  const rows = await tx.sql<Row>(ORDERS_SQL, [tx.organisationId, codes]);
  const orders = new Map<string, { id: string; version: number; lines: Map<string, string[]> }>();
  for (const { id, code, version, line_id, material_id } of rows) {
    const order = orders.get(code) ?? { id, version, lines: new Map<string, string[]>() };
    order.lines.set(material_id, [...(order.lines.get(material_id) ?? []), line_id]);
    orders.set(code, order);
  }
  return new Map(
    [...orders].map(([code, { id, version, lines }]) => [
      code,
      { id, version, linesByMaterial: lines },
    ]),
  );
}
