import type {
  OrderPlan,
  OrderPlanComparison,
  OrderPlanSummary,
  UnservedNeed,
} from '../../../shared/contract/order-plan.ts';
import { type Money, subtractMoney } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';

/** A need that no offer serves, by ids; codes and names are looked up when it is read. */
export type StoredUnserved = Omit<
  UnservedNeed,
  'materialCode' | 'materialName' | 'deliveryVillageCode'
>;

export interface NewPlan {
  readonly id: string;
  readonly programmeId: string;
  readonly code: string;
  readonly pricedOn: string;
  readonly buildIds: readonly string[];
  readonly totalAmount: Money;
  readonly packCount: number;
  readonly roundedPerTankAmount: Money;
  readonly roundedPerTankPackCount: number;
  readonly unserved: readonly StoredUnserved[];
}

export interface NewPlannedOrder {
  readonly id: string;
  readonly supplierId: string;
  readonly deliveryVillageId: string;
  readonly code: string;
}

export interface NewPlannedLine {
  readonly id: string;
  readonly orderId: string;
  readonly materialId: string;
  readonly offerId: string;
  readonly unitCode: string;
  readonly needQuantity: string;
  readonly packCode: string;
  readonly packContent: string;
  readonly packCount: number;
  readonly orderedQuantity: string;
  readonly roundingQuantity: string;
  readonly pricePerPack: string;
  readonly amount: string;
}

const INSERT_PLAN_SQL = `
  insert into order_plan (organisation_id, id, programme_id, code, priced_on, build_count, currency,
    total_amount, rounded_per_tank_amount, unserved, comparison, created_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`;

const INSERT_BUILDS_SQL = `
  insert into order_plan_build (organisation_id, order_plan_id, build_id)
  select $1, $2, unnest($3::uuid[])`;

const INSERT_ORDERS_SQL = `
  insert into purchase_order (organisation_id, id, programme_id, order_plan_id, supplier_id,
    delivery_village_id, code, status, currency, priced_on, needed_by, requested_by_id)
  select $1, x.id, $2, $3, x."supplierId", x."deliveryVillageId", x.code, 'draft', $4, $5, $6, $8
  from jsonb_to_recordset($7::jsonb) as x (id uuid, "supplierId" uuid, "deliveryVillageId" uuid, code text)`;

const INSERT_LINES_SQL = `
  insert into purchase_order_line (organisation_id, id, order_id, material_id, offer_id, unit_code,
    need_quantity, pack_code, pack_content, pack_count, ordered_quantity, rounding_quantity,
    price_per_pack, amount)
  select $1, x.id, x."orderId", x."materialId", x."offerId", x."unitCode", x."needQuantity", x."packCode",
    x."packContent", x."packCount", x."orderedQuantity", x."roundingQuantity", x."pricePerPack", x.amount
  from jsonb_to_recordset($2::jsonb) as x (id uuid, "orderId" uuid, "materialId" uuid, "offerId" uuid,
    "unitCode" text, "needQuantity" numeric, "packCode" text, "packContent" numeric, "packCount" integer,
    "orderedQuantity" numeric, "roundingQuantity" numeric, "pricePerPack" numeric, amount numeric)`;

const PLAN_COLUMNS = `
  p.id, p.programme_id as "programmeId", p.code, p.priced_on as "pricedOn", p.build_count as "buildCount",
  p.currency, p.total_amount, p.rounded_per_tank_amount, p.comparison,
  p.created_by_id as "createdById", p.created_at as "createdAt"`;

const PLAN_SQL = `
  select ${PLAN_COLUMNS}, coalesce((
    select jsonb_agg(u || jsonb_build_object('materialCode', m.code, 'materialName', m.name,
        'deliveryVillageCode', v.code) order by v.code, m.code)
      from jsonb_array_elements(p.unserved) u
        join material m on m.organisation_id = $1 and m.id = (u->>'materialId')::uuid
        join village v on v.organisation_id = $1 and v.id = (u->>'deliveryVillageId')::uuid), '[]') as unserved
  from order_plan p where p.organisation_id = $1 and p.id = $2`;

const LIST_SQL = `
  select ${PLAN_COLUMNS}, jsonb_array_length(p.unserved) as "unservedCount"
  from order_plan p
  where p.organisation_id = $1 and p.programme_id = $2
    and ($3::timestamptz is null or (p.created_at, p.id) < ($3, $4::uuid))
  order by p.created_at desc, p.id desc limit $5`;

interface PlanRow extends Omit<OrderPlanSummary, 'comparison'> {
  currency: string;
  total_amount: string;
  rounded_per_tank_amount: string;
  comparison: { packCount: number; roundedPerTankPackCount: number };
}

/** Writes a plan with the builds that it covers. */
export async function insertPlan(tx: Tx, plan: NewPlan): Promise<void> {
  const { packCount, roundedPerTankPackCount, totalAmount, roundedPerTankAmount } = plan;
  await tx.sql(INSERT_PLAN_SQL, [
    tx.organisationId,
    plan.id,
    plan.programmeId,
    plan.code,
    plan.pricedOn,
    plan.buildIds.length,
    totalAmount.currency,
    totalAmount.amount,
    roundedPerTankAmount.amount,
    JSON.stringify(plan.unserved),
    JSON.stringify({ packCount, roundedPerTankPackCount }),
    tx.actor.personId,
  ]);
  await tx.sql(INSERT_BUILDS_SQL, [tx.organisationId, plan.id, plan.buildIds]);
}

/** Writes the draft orders of a plan with their lines. */
export async function insertOrders(
  tx: Tx,
  plan: NewPlan,
  neededBy: string | null,
  orders: readonly NewPlannedOrder[],
  lines: readonly NewPlannedLine[],
): Promise<void> {
  await tx.sql(INSERT_ORDERS_SQL, [
    tx.organisationId,
    plan.programmeId,
    plan.id,
    plan.totalAmount.currency,
    plan.pricedOn,
    neededBy,
    JSON.stringify(orders),
    tx.actor.personId,
  ]);
  await tx.sql(INSERT_LINES_SQL, [tx.organisationId, JSON.stringify(lines)]);
}

export async function findPlan(tx: Tx, id: string): Promise<Omit<OrderPlan, 'orders'> | null> {
  const [row] = await tx.sql<PlanRow & { unserved: UnservedNeed[] }>(PLAN_SQL, [
    tx.organisationId,
    id,
  ]);
  if (!row) return null;
  return { ...summaryFields(row), unserved: row.unserved };
}

/** Plans of a programme, the newest first. */
export async function listPlans(
  tx: Tx,
  programmeId: string,
  { limit, cursor }: { readonly limit: number; readonly cursor?: string | undefined },
): Promise<Page<OrderPlanSummary>> {
  const list = `order-plans?${programmeId}`;
  const [createdAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<PlanRow>(LIST_SQL, [
    tx.organisationId,
    programmeId,
    createdAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(
    tx.actor,
    list,
    rows,
    limit,
    (row) => [row.createdAt, row.id],
    (row) => ({ ...summaryFields(row), unservedCount: row.unservedCount }),
  );
}

function summaryFields(row: PlanRow) {
  return {
    id: row.id,
    programmeId: row.programmeId,
    code: row.code,
    pricedOn: row.pricedOn,
    buildCount: row.buildCount,
    comparison: comparisonOf(row),
    createdById: row.createdById,
    createdAt: row.createdAt,
  };
}

function comparisonOf(row: PlanRow): OrderPlanComparison {
  const totalAmount = moneyOf(row.total_amount, row.currency);
  const roundedPerTankAmount = moneyOf(row.rounded_per_tank_amount, row.currency);
  return {
    totalAmount,
    packCount: row.comparison.packCount,
    roundedPerTankAmount,
    roundedPerTankPackCount: row.comparison.roundedPerTankPackCount,
    saving: subtractMoney(roundedPerTankAmount, totalAmount),
  };
}
