import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import { breaksText } from '../../../shared/costing/price-breaks-text.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import type { Column } from '../../http/table-export.ts';

const SQL = `
  select s.code as supplier_code, m.code as material_code, o.pack_code, o.pack_content, o.price_per_pack,
    o.currency, o.minimum_packs, o.maximum_packs, o.order_cost, o.lead_days, o.valid_from,
    least(o.valid_until, o.withdrawn_on - 1) as valid_until, o.price_breaks, o.break_rule
  from offer o
    join supplier s on s.organisation_id = o.organisation_id and s.id = o.supplier_id
    join material m on m.organisation_id = o.organisation_id and m.id = o.material_id
  where o.organisation_id = $1 and (o.withdrawn_on is null or o.withdrawn_on > o.valid_from)
    and ($2::uuid is null or o.supplier_id = $2) and ($3::uuid is null or o.material_id = $3)
    and ($4::date is null or $4 between o.valid_from and least(o.valid_until, o.withdrawn_on - 1))
  order by s.code, m.code, o.pack_code, o.valid_from, o.id
  limit $5`;

export interface PriceListRow {
  supplier_code: string;
  material_code: string;
  pack_code: string;
  pack_content: string;
  price_per_pack: string;
  currency: string;
  minimum_packs: number;
  maximum_packs: number | null;
  order_cost: string;
  lead_days: number;
  valid_from: string;
  valid_until: string;
  price_breaks: readonly PriceBreak[];
  break_rule: BreakRule | null;
}

export interface PriceListFilter {
  readonly supplierId?: string | undefined;
  readonly materialId?: string | undefined;
  readonly validOn?: string | undefined;
}

/** The columns of a price list, as its import reads them. */
export const PRICE_LIST_COLUMNS: readonly Column<PriceListRow>[] = [
  { header: 'supplier_code', value: (row) => row.supplier_code },
  { header: 'material_code', value: (row) => row.material_code },
  { header: 'pack_code', value: (row) => row.pack_code },
  { header: 'pack_content', value: (row) => quantityText(row.pack_content) },
  { header: 'price_per_pack', value: (row) => quantityText(row.price_per_pack) },
  { header: 'currency', value: (row) => row.currency },
  { header: 'minimum_packs', value: (row) => row.minimum_packs },
  { header: 'maximum_packs', value: (row) => row.maximum_packs },
  { header: 'order_cost', value: (row) => quantityText(row.order_cost) },
  { header: 'lead_days', value: (row) => row.lead_days },
  { header: 'valid_from', value: (row) => row.valid_from },
  { header: 'valid_until', value: (row) => row.valid_until },
  { header: 'breaks', value: (row) => breaksText(row.price_breaks) },
  { header: 'break_rule', value: (row) => row.break_rule },
];

/** Offers as rows of a price list; one that was withdrawn ends on the day before. */
export const priceListRows = (
  tx: Tx,
  filter: PriceListFilter,
  limit: number,
): Promise<PriceListRow[]> =>
  tx.sql<PriceListRow>(SQL, [
    tx.organisationId,
    filter.supplierId ?? null,
    filter.materialId ?? null,
    filter.validOn ?? null,
    limit,
  ]);
