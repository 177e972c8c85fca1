import type { BreakRule, PriceBreak } from '../../../shared/costing/offer-amount.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';

// The lock comes first and alone, so that what follows sees what others have committed.
const LOCK_PROGRAMME_SQL =
  'select id from programme where organisation_id = $1 and id = $2 for no key update';

const PROGRAMME_SQL = `
  select code, currency, (select count(*) from requisition
    where organisation_id = $1 and programme_id = $2) as count
  from programme where organisation_id = $1 and id = $2`;

export interface RequisitioningProgramme {
  readonly code: string;
  readonly currency: string;
  /** Requisitions that it has. */
  readonly count: number;
}

/** The programme, held so that nobody else requisitions for it until the transaction ends. */
export async function lockProgramme(tx: Tx, id: string): Promise<RequisitioningProgramme | null> {
  await tx.sql(LOCK_PROGRAMME_SQL, [tx.organisationId, id]);
  const [row] = await tx.sql<RequisitioningProgramme>(PROGRAMME_SQL, [tx.organisationId, id]);
  return row ?? null;
}

const OFFERS_SQL = `
  select f.id, f.supplier_id as "supplierId", f.material_id as "materialId", m.category,
    m.unit_code as "unitCode", f.pack_code as "packCode", f.pack_content as "packContent",
    f.price_per_pack as "pricePerPack", f.currency, f.minimum_packs as "minimumPacks",
    f.maximum_packs as "maximumPacks", f.price_breaks as "priceBreaks", f.break_rule as "breakRule",
    f.lead_days as "leadDays", f.valid_from as "validFrom", f.valid_until as "validUntil",
    f.withdrawn_on as "withdrawnOn"
  from offer f
    join material m on m.organisation_id = f.organisation_id and m.id = f.material_id
  where f.organisation_id = $1 and f.id = any($2)`;

export interface OrderedOffer {
  readonly id: string;
  readonly supplierId: string;
  readonly materialId: string;
  readonly category: string;
  readonly unitCode: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly pricePerPack: string;
  readonly currency: string;
  readonly minimumPacks: number;
  readonly maximumPacks: number | null;
  readonly priceBreaks: readonly PriceBreak[];
  readonly breakRule: BreakRule | null;
  readonly leadDays: number;
  readonly validFrom: string;
  readonly validUntil: string;
  readonly withdrawnOn: string | null;
}

export async function findOffers(
  tx: Tx,
  ids: readonly string[],
): Promise<ReadonlyMap<string, OrderedOffer>> {
  const rows = await tx.sql<OrderedOffer>(OFFERS_SQL, [tx.organisationId, ids]);
  return new Map(
    rows.map((row) => [
      row.id,
      {
        ...row,
        packContent: quantityText(row.packContent),
        pricePerPack: quantityText(row.pricePerPack),
      },
    ]),
  );
}

const VILLAGES_SQL = 'select id from village where organisation_id = $1 and id = any($2)';

export async function findVillages(tx: Tx, ids: readonly string[]): Promise<ReadonlySet<string>> {
  const rows = await tx.sql<{ id: string }>(VILLAGES_SQL, [tx.organisationId, ids]);
  return new Set(rows.map(({ id }) => id));
}

const PLAN_SQL = `
  select programme_id as "programmeId", code from supply_plan where organisation_id = $1 and id = $2`;

export async function findSupplyPlan(tx: Tx, id: string) {
  const [row] = await tx.sql<{ programmeId: string; code: string }>(PLAN_SQL, [
    tx.organisationId,
    id,
  ]);
  return row ?? null;
}

// What a requisition that was neither refused nor withdrawn asked for is taken.
const PLAN_LINES_SQL = `
  select l.id, l.position, l.material_id as "materialId", l.delivery_village_id as "deliveryVillageId",
    l.offer_id as "offerId", l.pack_count as "packCount", l.quantity, l.place_by as "placeBy",
    l.arrives_on as "arrivesOn",
    (select r.code from requisition_line q
      join requisition r on r.organisation_id = q.organisation_id and r.id = q.requisition_id
      where q.organisation_id = l.organisation_id and q.supply_plan_line_id = l.id
        and r.status not in ('refused', 'withdrawn') limit 1) as "takenBy"
  from supply_plan_line l
  where l.organisation_id = $1 and l.supply_plan_id = $2 order by l.position`;

export interface PlanLine {
  readonly id: string;
  readonly position: number;
  readonly materialId: string;
  readonly deliveryVillageId: string;
  readonly offerId: string;
  readonly packCount: number;
  readonly quantity: string;
  readonly placeBy: string;
  readonly arrivesOn: string;
  /** Code of the requisition that asked for it. */
  readonly takenBy: string | null;
}

/** Lines of a supply plan; the programme must be held, so that nobody else takes them. */
export async function listPlanLines(tx: Tx, planId: string): Promise<PlanLine[]> {
  const rows = await tx.sql<PlanLine>(PLAN_LINES_SQL, [tx.organisationId, planId]);
  return rows.map((row) => ({ ...row, quantity: quantityText(row.quantity) }));
}
