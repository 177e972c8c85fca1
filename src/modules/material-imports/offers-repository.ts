import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { lastDayOf, type OfferTerms } from './offer-terms.ts';

const OFFERS_SQL = `
  select id, supplier_id, material_id, pack_code, pack_content, price_per_pack, currency, minimum_packs,
    maximum_packs, order_cost, price_breaks, break_rule, lead_days, valid_from, valid_until, withdrawn_on
  from offer
  where organisation_id = $1 and supplier_id = any($2) and material_id = any($3)
    and (withdrawn_on is null or withdrawn_on > valid_from)
  order by id for update`;

const INSERT_SQL = `
  insert into offer (organisation_id, id, supplier_id, material_id, pack_code, pack_content,
    price_per_pack, currency, minimum_packs, maximum_packs, order_cost, price_breaks, break_rule,
    lead_days, valid_from, valid_until)
  select $1, id, "supplierId", "materialId", "packCode", "packContent", "pricePerPack", currency,
    "minimumPacks", "maximumPacks", "orderCost", "priceBreaks", "breakRule", "leadDays", "validFrom",
    "validUntil"
  from jsonb_to_recordset($2) as r (id uuid, "supplierId" uuid, "materialId" uuid, "packCode" text,
    "packContent" numeric, "pricePerPack" numeric, currency text, "minimumPacks" integer,
    "maximumPacks" integer, "orderCost" numeric, "priceBreaks" jsonb, "breakRule" text,
    "leadDays" integer, "validFrom" date, "validUntil" date)`;

const WITHDRAW_SQL = `
  update offer o set withdrawn_on = r.day
  from unnest($2::uuid[], $3::date[]) as r (id, day)
  where o.organisation_id = $1 and o.id = r.id`;

const AUDIT_SQL = `
  insert into audit_entry (organisation_id, id, person_id, request_id, action, noun, record_id, detail)
  select $1, gen_random_uuid(), $2, $3, r.action, 'offer', r.id::text, $4
  from jsonb_to_recordset($5) as r(action text, id uuid)`;

export interface ExistingOffer extends OfferTerms {
  readonly id: string;
  readonly supplierId: string;
  readonly materialId: string;
}

interface Row {
  id: string;
  supplier_id: string;
  material_id: string;
  pack_code: string;
  pack_content: string;
  price_per_pack: string;
  currency: string;
  minimum_packs: number;
  maximum_packs: number | null;
  order_cost: string;
  price_breaks: PriceBreak[];
  break_rule: BreakRule | null;
  lead_days: number;
  valid_from: string;
  valid_until: string;
  withdrawn_on: string | null;
}

/** The offers of suppliers for materials that held or will hold on some day, held until the end. */
export async function lockOffers(
  tx: Tx,
  supplierIds: readonly string[],
  materialIds: readonly string[],
): Promise<ExistingOffer[]> {
  const rows = await tx.sql<Row>(OFFERS_SQL, [tx.organisationId, supplierIds, materialIds]);
  return rows.map((row) => ({
    id: row.id,
    supplierId: row.supplier_id,
    materialId: row.material_id,
    packCode: row.pack_code,
    packContent: quantityText(row.pack_content),
    pricePerPack: quantityText(row.price_per_pack),
    currency: row.currency,
    minimumPacks: row.minimum_packs,
    maximumPacks: row.maximum_packs,
    orderCost: quantityText(row.order_cost),
    priceBreaks: row.price_breaks.map((one) => ({
      ...one,
      pricePerPack: quantityText(one.pricePerPack),
    })),
    breakRule: row.break_rule,
    leadDays: row.lead_days,
    validFrom: row.valid_from,
    validUntil: lastDayOf(row.valid_until, row.withdrawn_on),
  }));
}

export type OfferToInsert = OfferTerms & {
  readonly id: string;
  readonly supplierId: string;
  readonly materialId: string;
};

/** Makes the new offers and ends those that they replace, with their audit entries. */
export async function replaceOffers(
  tx: Tx,
  importId: string,
  made: readonly OfferToInsert[],
  withdrawnOn: ReadonlyMap<string, string>,
): Promise<void> {
  await tx.sql(INSERT_SQL, [tx.organisationId, JSON.stringify(made)]);
  await tx.sql(WITHDRAW_SQL, [
    tx.organisationId,
    [...withdrawnOn.keys()],
    [...withdrawnOn.values()],
  ]);
  await tx.sql(AUDIT_SQL, [
    tx.organisationId,
    tx.actor.personId,
    tx.actor.requestId,
    JSON.stringify({ materialImportId: importId }),
    JSON.stringify([
      ...made.map(({ id }) => ({ action: 'create', id })),
      ...[...withdrawnOn.keys()].map((id) => ({ action: 'withdraw', id })),
    ]),
  ]);
}
