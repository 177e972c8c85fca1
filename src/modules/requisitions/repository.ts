import type {
  Requisition,
  RequisitionLine,
  RequisitionSummary,
} from '../../../shared/contract/requisition.ts';
import { sumMoney } from '../../../shared/costing/money.ts';
import {
  type BreakRule,
  offerAmount,
  type PriceBreak,
} from '../../../shared/costing/offer-amount.ts';
import type { Tx } from '../../db/database.ts';
import { quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

const REQUISITION_SQL = `
  select r.id, r.version, r.programme_id as "programmeId", r.supply_plan_id as "supplyPlanId", r.code,
    r.status, r.reason, p.currency, r.requested_by_id as "requestedById", r.requested_on as "requestedOn",
    r.decided_by_id as "decidedById", r.decided_at as "decidedAt",
    r.decision_remarks as "decisionRemarks", r.created_at as "createdAt"
  from requisition r
    join programme p on p.organisation_id = r.organisation_id and p.id = r.programme_id
  where r.organisation_id = $1`;

const ONE_SQL = `${REQUISITION_SQL} and r.id = $2`;

const LIST_SQL = `${REQUISITION_SQL}
    and ($2::uuid is null or r.programme_id = $2)
    and ($3::uuid is null or r.supply_plan_id = $3)
    and ($4::text is null or r.status = $4)
    and ($5::text is null or r.code > $5)
  order by r.code limit $6`;

const LINES_SQL = `
  select l.id, l.requisition_id, l.position, l.supply_plan_line_id as "supplyPlanLineId",
    l.material_id as "materialId", m.code as "materialCode", m.name as "materialName",
    m.unit_code as "unitCode", l.delivery_village_id as "deliveryVillageId",
    v.code as "deliveryVillageCode", l.offer_id as "offerId", f.supplier_id as "supplierId",
    s.code as "supplierCode", f.pack_code as "packCode", f.pack_content as "packContent",
    l.pack_count as "packCount", l.need_quantity as "needQuantity", f.price_per_pack, f.currency,
    f.price_breaks, f.break_rule, f.minimum_packs, l.place_by as "placeBy", l.needed_by as "neededBy"
  from requisition_line l
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
    join village v on v.organisation_id = l.organisation_id and v.id = l.delivery_village_id
    join offer f on f.organisation_id = l.organisation_id and f.id = l.offer_id
    join supplier s on s.organisation_id = f.organisation_id and s.id = f.supplier_id
  where l.organisation_id = $1 and l.requisition_id = any($2)
  order by l.requisition_id, l.position`;

const LOCK_SQL =
  'select id from requisition where organisation_id = $1 and id = $2 for no key update';

const INSERT_SQL = `
  insert into requisition (organisation_id, id, programme_id, supply_plan_id, code, reason,
    requested_by_id, requested_on)
  values ($1, $2, $3, $4, $5, $6, $7, $8)`;

const INSERT_LINES_SQL = `
  insert into requisition_line (organisation_id, id, requisition_id, position, supply_plan_line_id,
    material_id, delivery_village_id, offer_id, need_quantity, pack_count, place_by, needed_by)
  select $1, gen_random_uuid(), $2, x.position, x."supplyPlanLineId", x."materialId",
    x."deliveryVillageId", x."offerId", x."needQuantity", x."packCount", x."placeBy", x."neededBy"
  from jsonb_to_recordset($3::jsonb) as x (position integer, "supplyPlanLineId" uuid, "materialId" uuid,
    "deliveryVillageId" uuid, "offerId" uuid, "needQuantity" numeric, "packCount" integer,
    "placeBy" date, "neededBy" date)`;

const DECIDE_SQL = `
  update requisition set status = $3, decision_remarks = $4, decided_by_id = $5, decided_at = now(),
    version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

const STATUS_SQL = `
  update requisition set status = $3, version = version + 1, updated_at = now()
  where organisation_id = $1 and id = $2`;

type SummaryRow = Omit<RequisitionSummary, 'amount'> & { currency: string };

interface LineRow extends Omit<RequisitionLine, 'amount'> {
  readonly requisition_id: string;
  readonly price_per_pack: string;
  readonly currency: string;
  readonly price_breaks: readonly PriceBreak[];
  readonly break_rule: BreakRule | null;
  readonly minimum_packs: number;
}

export type BareRequisition = Omit<Requisition, 'orders'>;

async function withLines(tx: Tx, rows: readonly SummaryRow[]): Promise<BareRequisition[]> {
  const ids = rows.map(({ id }) => id);
  const lines = await tx.sql<LineRow>(LINES_SQL, [tx.organisationId, ids]);
  return rows.map(({ currency, ...row }) => {
    const own = lines.filter((line) => line.requisition_id === row.id).map(toLine);
    const amount = sumMoney(
      own.map((line) => line.amount),
      currency,
    );
    return { ...row, amount, lines: own };
  });
}

export async function findRequisition(tx: Tx, id: string): Promise<BareRequisition | null> {
  const rows = await tx.sql<SummaryRow>(ONE_SQL, [tx.organisationId, id]);
  return (await withLines(tx, rows))[0] ?? null;
}

export async function lockRequisition(tx: Tx, id: string): Promise<BareRequisition | null> {
  await tx.sql(LOCK_SQL, [tx.organisationId, id]);
  return findRequisition(tx, id);
}

export async function listRequisitions(
  tx: Tx,
  {
    limit,
    cursor,
    ...filter
  }: {
    readonly limit: number;
    readonly cursor?: string | undefined;
    readonly programmeId?: string | undefined;
    readonly supplyPlanId?: string | undefined;
    readonly status?: string | undefined;
  },
): Promise<Page<RequisitionSummary>> {
  const list = `requisitions?${JSON.stringify(filter)}`;
  const [afterCode] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<SummaryRow>(LIST_SQL, [
    tx.organisationId,
    filter.programmeId ?? null,
    filter.supplyPlanId ?? null,
    filter.status ?? null,
    afterCode ?? null,
    limit + 1,
  ]);
  const whole = await withLines(tx, rows);
  return toPage(
    tx.actor,
    list,
    whole,
    limit,
    (row) => [row.code],
    ({ lines: _, ...summary }) => summary,
  );
}

export interface RequisitionInsert {
  readonly id: string;
  readonly programmeId: string;
  readonly supplyPlanId: string | null;
  readonly code: string;
  readonly reason: string;
  readonly requestedOn: string;
  readonly lines: readonly {
    readonly supplyPlanLineId: string | null;
    readonly materialId: string;
    readonly deliveryVillageId: string;
    readonly offerId: string;
    readonly needQuantity: string;
    readonly packCount: number;
    readonly placeBy: string;
    readonly neededBy: string;
  }[];
}

export async function insertRequisition(tx: Tx, requisition: RequisitionInsert): Promise<void> {
  const { id, lines } = requisition;
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    id,
    requisition.programmeId,
    requisition.supplyPlanId,
    requisition.code,
    requisition.reason,
    tx.actor.personId,
    requisition.requestedOn,
  ]);
  const numbered = lines.map((line, index) => ({ ...line, position: index + 1 }));
  await tx.sql(INSERT_LINES_SQL, [tx.organisationId, id, JSON.stringify(numbered)]);
}

export async function decideRequisition(
  tx: Tx,
  id: string,
  decision: 'approved' | 'refused',
  remarks: string,
): Promise<void> {
  await tx.sql(DECIDE_SQL, [tx.organisationId, id, decision, remarks, tx.actor.personId]);
}

export async function setRequisitionStatus(
  tx: Tx,
  id: string,
  status: 'withdrawn' | 'ordered',
): Promise<void> {
  await tx.sql(STATUS_SQL, [tx.organisationId, id, status]);
}

function toLine(row: LineRow): RequisitionLine {
  const { requisition_id: _, price_per_pack, currency, price_breaks, break_rule, ...line } = row;
  const { minimum_packs, ...fields } = line;
  const pricing = {
    packPrice: { amount: quantityText(price_per_pack), currency },
    priceBreaks: price_breaks,
    breakRule: break_rule,
    minimumPacks: minimum_packs,
  };
  return {
    ...fields,
    packContent: quantityText(fields.packContent),
    needQuantity: quantityText(fields.needQuantity),
    amount: offerAmount(pricing, fields.packCount),
  };
}
