import type {
  SupplyLineExplanation,
  SupplyPlan,
  SupplyPlanLine,
  SupplyPlanSummary,
} from '../../../shared/contract/supply-plan.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf, quantityText } from '../../db/wire-values.ts';
import { openCursor, type Page, toPage } from '../../http/page.ts';
import type { LineExplanation } from './explain-lines.ts';

const SUMMARY_COLUMNS = `
  p.id, p.programme_id as "programmeId", p.code, p.starts_on as "startsOn", p.period_days as "periodDays",
  p.period_count as "periodCount", p.priced_on as "pricedOn", p.engine_version as "engineVersion", p.status,
  p.total_amount as total, p.lower_bound_amount as bound, p.currency, p.gap_ratio as "gapRatio",
  p.solver_time_s as "solverTimeS", p.comparison, p.created_by_id as "createdById",
  p.created_at as "createdAt", jsonb_array_length(p.shortfalls) as "shortfallCount",
  (select count(*) from supply_plan_line l
    where l.organisation_id = p.organisation_id and l.supply_plan_id = p.id) as "lineCount"`;

const LIST_SQL = `
  select ${SUMMARY_COLUMNS} from supply_plan p
  where p.organisation_id = $1 and p.programme_id = $2
    and ($3::timestamptz is null or (p.created_at, p.id) < ($3, $4::uuid))
  order by p.created_at desc, p.id desc limit $5`;

const ONE_SQL = `
  select ${SUMMARY_COLUMNS}, p.replans_id as "replansId", p.settings, p.cost_parts as "costParts",
    p.decomposition, p.shortfalls
  from supply_plan p where p.organisation_id = $1 and p.id = $2`;

const LINE_SQL = `
  select l.id, l.position, l.supplier_id as "supplierId", s.code as "supplierCode", l.offer_id as "offerId",
    l.material_id as "materialId", m.code as "materialCode", m.name as "materialName",
    l.delivery_village_id as "deliveryVillageId", v.code as "deliveryVillageCode",
    l.unit_code as "unitCode", l.place_by as "placeBy", l.arrives_on as "arrivesOn",
    l.pack_code as "packCode", l.pack_content as "packContent", l.pack_count as "packCount", l.quantity,
    l.price_per_pack as "pricePerPack", l.amount, p.currency,
    exists (
      select from requisition_line q
        join requisition r on r.organisation_id = q.organisation_id and r.id = q.requisition_id
      where q.organisation_id = l.organisation_id and q.supply_plan_line_id = l.id
        and r.status not in ('refused', 'withdrawn')) as "isRequisitioned"`;

const LINES_FROM = `
  from supply_plan_line l
    join supply_plan p on p.organisation_id = l.organisation_id and p.id = l.supply_plan_id
    join supplier s on s.organisation_id = l.organisation_id and s.id = l.supplier_id
    join material m on m.organisation_id = l.organisation_id and m.id = l.material_id
    join village v on v.organisation_id = l.organisation_id and v.id = l.delivery_village_id`;

const LINES_SQL = `${LINE_SQL} ${LINES_FROM}
  where l.organisation_id = $1 and l.supply_plan_id = $2
    and ($3::uuid is null or l.material_id = $3) and ($4::uuid is null or l.supplier_id = $4)
    and ($5::uuid is null or l.delivery_village_id = $5) and ($6::integer is null or l.position > $6)
  order by l.position limit $7`;

const EXPLAINED_SQL = `${LINE_SQL}, l.explanation ${LINES_FROM}
  where l.organisation_id = $1 and l.supply_plan_id = $2 and l.id = $3`;

interface SummaryRow extends Omit<SupplyPlanSummary, 'totalAmount' | 'lowerBoundAmount'> {
  readonly total: string;
  readonly bound: string;
  readonly currency: string;
}

type PlanRow = SummaryRow &
  Pick<SupplyPlan, 'replansId' | 'settings' | 'costParts' | 'decomposition' | 'shortfalls'>;

type LineRow = Omit<SupplyPlanLine, 'amount'> & { amount: string; currency: string };

export interface SupplyLineFilter {
  readonly materialId?: string | undefined;
  readonly supplierId?: string | undefined;
  readonly deliveryVillageId?: string | undefined;
}

interface Paging {
  readonly limit: number;
  readonly cursor?: string | undefined;
}

export async function listSupplyPlans(
  tx: Tx,
  programmeId: string,
  { limit, cursor }: Paging,
): Promise<Page<SupplyPlanSummary>> {
  const list = `supply-plans?${programmeId}`;
  const [createdAt, id] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await tx.sql<SummaryRow>(LIST_SQL, [
    tx.organisationId,
    programmeId,
    createdAt ?? null,
    id ?? null,
    limit + 1,
  ]);
  return toPage(tx.actor, list, rows, limit, (row) => [row.createdAt, row.id], toSummary);
}

export async function findSupplyPlan(tx: Tx, id: string): Promise<SupplyPlan | null> {
  const [row] = await tx.sql<PlanRow>(ONE_SQL, [tx.organisationId, id]);
  if (!row) return null;
  const { replansId, settings, costParts, decomposition, shortfalls, ...rest } = row;
  const { shortfallCount: _, ...summary } = toSummary(rest);
  return { ...summary, replansId, settings, costParts, decomposition, shortfalls };
}

export async function listSupplyLines(
  tx: Tx,
  planId: string,
  { limit, cursor, ...filter }: SupplyLineFilter & Paging,
): Promise<Page<SupplyPlanLine>> {
  const list = `supply-plan-lines?${planId}${JSON.stringify(filter)}`;
  const [position] = cursor === undefined ? [] : openCursor(tx.actor, list, cursor);
  const rows = await readLines(tx, planId, filter, position ?? null, limit + 1);
  return toPage(tx.actor, list, rows, limit, (row) => [String(row.position)], toLine);
}

/** Every line of a plan, for a file. */
export const allSupplyLines = async (tx: Tx, planId: string): Promise<SupplyPlanLine[]> =>
  (await readLines(tx, planId, {}, null, null)).map(toLine);

const readLines = (
  tx: Tx,
  planId: string,
  filter: SupplyLineFilter,
  after: string | null,
  limit: number | null,
) =>
  tx.sql<LineRow>(LINES_SQL, [
    tx.organisationId,
    planId,
    filter.materialId ?? null,
    filter.supplierId ?? null,
    filter.deliveryVillageId ?? null,
    after,
    limit,
  ]);

export async function findExplanation(
  tx: Tx,
  planId: string,
  lineId: string,
): Promise<SupplyLineExplanation | null> {
  const [row] = await tx.sql<LineRow & { explanation: LineExplanation }>(EXPLAINED_SQL, [
    tx.organisationId,
    planId,
    lineId,
  ]);
  if (!row) return null;
  const { explanation, ...line } = row;
  return { line: toLine(line), ...explanation };
}

const toSummary = ({ total, bound, currency, ...row }: SummaryRow): SupplyPlanSummary => ({
  ...row,
  totalAmount: moneyOf(total, currency),
  lowerBoundAmount: moneyOf(bound, currency),
});

const toLine = ({ amount, currency, ...row }: LineRow): SupplyPlanLine => ({
  ...row,
  packContent: quantityText(row.packContent),
  quantity: quantityText(row.quantity),
  pricePerPack: quantityText(row.pricePerPack),
  amount: moneyOf(amount, currency),
});
