import type { BuildGrantShare } from '../../../shared/contract/build.ts';
import type { TakeOffLine } from '../../../shared/contract/design-revision.ts';
import type { Offer } from '../../../shared/costing/offer.ts';
import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import type { PricedLine, PricedMaterial } from './price-take-off.ts';

const MATERIALS_SQL = `
  select id, code, unit_code as "unitCode" from material
  where organisation_id = $1 and code = any($2)`;

const OFFERS_SQL = `
  select o.id, o.supplier_id, m.code, m.unit_code, o.pack_content, o.price_per_pack, o.currency,
    o.minimum_packs, o.maximum_packs, o.order_cost, o.price_breaks, o.break_rule, o.valid_from,
    o.valid_until
  from offer o
    join material m on m.organisation_id = o.organisation_id and m.id = o.material_id
  where o.organisation_id = $1 and m.code = any($2)
    and (o.withdrawn_on is null or o.withdrawn_on > $3)
  order by m.code, o.id`;

/**
 * Foreign keys are checked by plans that a connection keeps. One made while a table was nearly empty
 * reads the whole table for each of a hundred thousand lines; so a large insert has them made anew.
 */
const RENEW_PLANS_SQL = 'discard plans';

const INSERT_BUILDS_SQL = `
  insert into build (organisation_id, id, programme_id, site_id, village_id, design_revision_id,
    tank_kind_id, crew_id, code, planned_start_on, priced_on,
    earliest_start_on, due_on)
  select $1, id, "programmeId", "siteId", "villageId", "designRevisionId", "tankKindId", "crewId",
    code, "plannedStartOn", "pricedOn", "earliestStartOn", "dueOn"
  from jsonb_to_recordset($2) as b (id uuid, "programmeId" uuid, "siteId" uuid, "villageId" uuid,
    "designRevisionId" uuid, "tankKindId" uuid, "crewId" uuid, code text, "plannedStartOn" date,
    "pricedOn" date, "earliestStartOn" date, "dueOn" date)`;

const INSERT_SHARES_SQL = `
  insert into build_grant_share (organisation_id, build_id, grant_id, share_ratio)
  select $1, build_id, grant_id, share_ratio
  from unnest($2::uuid[]) as b (build_id)
    cross join unnest($3::uuid[], $4::numeric[]) as g (grant_id, share_ratio)`;

const PRICED_LINES = `
  jsonb_to_recordset($3) as l ("lineCode" text, position integer, "stageCode" text, part text,
    "materialId" uuid, "unitCode" text, "netQuantity" numeric, "wasteRatio" numeric,
    "withWasteQuantity" numeric, "offerId" uuid, "unitRate" numeric, amount numeric, "isInKind" boolean)`;

const INSERT_LINES_SQL = `
  insert into bill_line (organisation_id, build_id, line_code, position, stage_code, part, material_id,
    unit_code, net_quantity, waste_ratio, with_waste_quantity, offer_id, unit_rate, currency, amount, is_in_kind)
  select $1, build_id, "lineCode", position, "stageCode", part, "materialId", "unitCode",
    "netQuantity", "wasteRatio", "withWasteQuantity", "offerId", "unitRate", $4, amount, "isInKind"
  from unnest($2::uuid[]) as b (build_id) cross join ${PRICED_LINES}`;

const REPRICE_LINES_SQL = `
  update bill_line t set material_id = "materialId", offer_id = "offerId", unit_rate = "unitRate",
    currency = $4, amount = l.amount
  from ${PRICED_LINES}
  where t.organisation_id = $1 and t.build_id = any($2) and t.line_code = "lineCode"
    and (t.material_id, t.offer_id, t.unit_rate, t.currency, t.amount)
      is distinct from ("materialId", "offerId", "unitRate", $4, l.amount)`;

const NOT_STARTED_SQL = `
  select id, design_revision_id as "designRevisionId" from build
  where organisation_id = $1 and programme_id = $2 and status = 'planned' and cancelled_on is null
  order by id for update`;

const AMOUNTS_SQL = `
  select coalesce(sum(amount) filter (where not is_in_kind), 0) as amount,
    coalesce(sum(amount) filter (where is_in_kind), 0) as "inKindAmount"
  from bill_line where organisation_id = $1 and build_id = any($2)`;

const SET_PRICED_ON_SQL = `
  update build set priced_on = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = any($2)`;

export async function findMaterials(
  tx: Tx,
  codes: readonly string[],
): Promise<ReadonlyMap<string, PricedMaterial>> {
  const rows = await tx.sql<PricedMaterial>(MATERIALS_SQL, [tx.organisationId, codes]);
  return new Map(rows.map((row) => [row.code, row]));
}

interface OfferRow {
  id: string;
  supplier_id: string;
  code: string;
  unit_code: string;
  pack_content: string;
  price_per_pack: string;
  currency: string;
  minimum_packs: number;
  maximum_packs: number | null;
  order_cost: string;
  price_breaks: readonly PriceBreak[];
  break_rule: BreakRule | null;
  valid_from: string;
  valid_until: string;
}

/** Offers by material code that are not withdrawn on the day, valid then or not. */
export async function findOffers(
  tx: Tx,
  codes: readonly string[],
  onDate: string,
): Promise<ReadonlyMap<string, readonly Offer[]>> {
  const rows = await tx.sql<OfferRow>(OFFERS_SQL, [tx.organisationId, codes, onDate]);
  const offersByCode = new Map<string, Offer[]>();
  for (const row of rows) {
    const offers = offersByCode.get(row.code) ?? [];
    offers.push({
      offerId: row.id,
      supplierId: row.supplier_id,
      materialCode: row.code,
      unitCode: row.unit_code,
      packContent: quantityText(row.pack_content),
      packPrice: { amount: quantityText(row.price_per_pack), currency: row.currency },
      minimumPacks: row.minimum_packs,
      maximumPacks: row.maximum_packs ?? undefined,
      orderCost: quantityText(row.order_cost),
      priceBreaks: row.price_breaks,
      breakRule: row.break_rule,
      validFrom: row.valid_from,
      validUntil: row.valid_until,
    });
    offersByCode.set(row.code, offers);
  }
  return offersByCode;
}

export interface BuildToInsert {
  readonly id: string;
  readonly code: string;
  readonly programmeId: string;
  readonly siteId: string;
  readonly villageId: string;
  readonly designRevisionId: string;
  readonly tankKindId: string;
  readonly crewId: string | null;
  readonly plannedStartOn: string | null;
  readonly earliestStartOn: string | null;
  readonly dueOn: string | null;
  readonly pricedOn: string;
}

/** Builds with their shares, a few statements however many they are. */
export async function insertBuilds(
  tx: Tx,
  builds: readonly BuildToInsert[],
  shares: readonly BuildGrantShare[],
): Promise<void> {
  await tx.sql(RENEW_PLANS_SQL);
  await tx.sql(INSERT_BUILDS_SQL, [tx.organisationId, JSON.stringify(builds)]);
  await tx.sql(INSERT_SHARES_SQL, [
    tx.organisationId,
    builds.map(({ id }) => id),
    shares.map(({ grantId }) => grantId),
    shares.map(({ shareRatio }) => shareRatio),
  ]);
  await tx.sql(RENEW_PLANS_SQL);
}

/** The same priced lines for each of the builds, which share a revision. */
export async function insertLines(
  tx: Tx,
  buildIds: readonly string[],
  lines: readonly PricedLine[],
  currency: string,
): Promise<void> {
  await tx.sql(INSERT_LINES_SQL, [tx.organisationId, buildIds, JSON.stringify(lines), currency]);
}

export async function repriceLines(
  tx: Tx,
  buildIds: readonly string[],
  lines: readonly PricedLine[],
  currency: string,
): Promise<void> {
  await tx.sql(REPRICE_LINES_SQL, [tx.organisationId, buildIds, JSON.stringify(lines), currency]);
}

/** Builds of a programme that nobody has begun, held so that nobody begins them meanwhile. */
export const lockNotStarted = (tx: Tx, programmeId: string) =>
  tx.sql<{ id: string; designRevisionId: string }>(NOT_STARTED_SQL, [
    tx.organisationId,
    programmeId,
  ]);

export async function billAmounts(tx: Tx, buildIds: readonly string[], currency: string) {
  const [row] = await tx.sql<{ amount: string; inKindAmount: string }>(AMOUNTS_SQL, [
    tx.organisationId,
    buildIds,
  ]);
  return {
    amount: moneyOf(row?.amount ?? '0', currency),
    inKindAmount: moneyOf(row?.inKindAmount ?? '0', currency),
  };
}

export async function setPricedOn(tx: Tx, buildIds: readonly string[], pricedOn: string) {
  await tx.sql(SET_PRICED_ON_SQL, [tx.organisationId, buildIds, pricedOn]);
}

/** Codes of the materials that a take-off names, each once. */
export const materialCodesOf = (takeOffs: readonly (readonly TakeOffLine[])[]): string[] => [
  ...new Set(takeOffs.flatMap((takeOff) => takeOff.map(({ materialCode }) => materialCode))),
];
