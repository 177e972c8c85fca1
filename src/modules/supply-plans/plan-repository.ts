import type {
  SupplyPlanComparison,
  SupplyShortfall,
} from '../../../shared/contract/supply-plan.ts';
import type { Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { ruleBroken } from '../../domain/errors.ts';
import type { LineExplanation } from './explain-lines.ts';
import type { SeasonOffer } from './market-repository.ts';

export interface MadeLine {
  readonly id: string;
  readonly position: number;
  readonly offer: SeasonOffer;
  readonly supplierId: string;
  readonly materialId: string;
  readonly materialCode: string;
  readonly villageId: string;
  readonly villageCode: string;
  readonly unitCode: string;
  readonly placeBy: string;
  readonly arrivesOn: string;
  readonly packCount: number;
  readonly quantity: string;
  readonly amount: Money;
  readonly explanation: LineExplanation;
}

export interface MadePlan {
  readonly id: string;
  readonly programmeId: string;
  readonly jobId: string;
  readonly code: string;
  readonly startsOn: string;
  readonly periodCount: number;
  readonly periodDays: number;
  readonly pricedOn: string;
  readonly currency: string;
  readonly engineVersion: string;
  readonly status: 'optimal' | 'feasible';
  readonly total: Money;
  readonly bound: Money;
  readonly gapRatio: number;
  readonly solverTimeS: number;
  readonly replansId: string | null;
  readonly settings: object;
  readonly needsDigest: string;
  readonly comparison: SupplyPlanComparison;
  readonly shortfalls: readonly SupplyShortfall[];
  readonly decomposition: object;
  readonly costParts: object;
  readonly lines: readonly MadeLine[];
}

export interface KeptLine {
  readonly materialId: string;
  readonly villageId: string;
  readonly offerId: string;
  readonly arrivesOn: string;
  readonly quantity: string;
  readonly amount: string;
}

const COUNT_SQL = `
  select count(*) as count from supply_plan where organisation_id = $1 and programme_id = $2`;

/** Lines of a plan that no live requisition has taken up. */
const KEPT_SQL = `
  select l.material_id as "materialId", l.delivery_village_id as "villageId", l.offer_id as "offerId",
    l.arrives_on as "arrivesOn", l.quantity, l.amount
  from supply_plan p
    join supply_plan_line l on l.organisation_id = p.organisation_id and l.supply_plan_id = p.id
  where p.organisation_id = $1 and p.programme_id = $2 and p.id = $3
    and not exists (
      select from requisition_line q
        join requisition r on r.organisation_id = q.organisation_id and r.id = q.requisition_id
      where q.organisation_id = l.organisation_id and q.supply_plan_line_id = l.id
        and r.status not in ('refused', 'withdrawn'))
  order by l.position`;

const INSERT_PLAN_SQL = `
  insert into supply_plan (organisation_id, id, programme_id, job_id, code, starts_on, period_count,
    period_days, priced_on, currency, engine_version, status, total_amount, lower_bound_amount, gap_ratio,
    solver_time_s, replans_id, settings, needs_digest, comparison, shortfalls, decomposition, cost_parts,
    created_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21,
    $22, $23, $24)
  on conflict on constraint supply_plan_pkey do nothing returning id`;

const INSERT_LINES_SQL = `
  insert into supply_plan_line (organisation_id, id, supply_plan_id, position, supplier_id, offer_id,
    material_id, delivery_village_id, unit_code, place_by, arrives_on, pack_code, pack_content, pack_count,
    quantity, price_per_pack, amount, covers, explanation)
  select $1, l.id, $2, l.position, l."supplierId", l."offerId", l."materialId", l."villageId", l."unitCode",
    l."placeBy", l."arrivesOn", l."packCode", l."packContent", l."packCount", l.quantity, l."pricePerPack",
    l.amount, l.covers, l.explanation
  from jsonb_to_recordset($3::jsonb) as l (id uuid, position integer, "supplierId" uuid, "offerId" uuid,
    "materialId" uuid, "villageId" uuid, "unitCode" text, "placeBy" date, "arrivesOn" date, "packCode" text,
    "packContent" numeric, "packCount" integer, quantity numeric, "pricePerPack" numeric, amount numeric,
    covers jsonb, explanation jsonb)`;

export async function nextPlanCode(tx: Tx, programmeId: string, code: string): Promise<string> {
  const [row] = await tx.sql<{ count: number }>(COUNT_SQL, [tx.organisationId, programmeId]);
  return `${code}-SP${Number(row?.count ?? 0) + 1}`;
}

export const keptLines = (tx: Tx, programmeId: string, planId: string): Promise<KeptLine[]> =>
  tx.sql<KeptLine>(KEPT_SQL, [tx.organisationId, programmeId, planId]);

/** Writes a plan with all its lines; an attempt that wrote it before is left as it is. */
export async function insertSupplyPlan(tx: Tx, plan: MadePlan): Promise<void> {
  const code = await nextPlanCode(tx, plan.programmeId, plan.code.replace(/-SP\d+$/, ''));
  const made = await tx.sql(INSERT_PLAN_SQL, [
    tx.organisationId,
    plan.id,
    plan.programmeId,
    plan.jobId,
    code,
    plan.startsOn,
    plan.periodCount,
    plan.periodDays,
    plan.pricedOn,
    plan.currency,
    plan.engineVersion,
    plan.status,
    plan.total.amount,
    plan.bound.amount,
    plan.gapRatio,
    plan.solverTimeS,
    plan.replansId,
    JSON.stringify(plan.settings),
    plan.needsDigest,
    JSON.stringify(plan.comparison),
    JSON.stringify(plan.shortfalls),
    JSON.stringify(plan.decomposition),
    JSON.stringify(plan.costParts),
    tx.actor.personId,
  ]);
  if (made.length === 0) return;
  if (plan.lines.length === 0 && plan.shortfalls.length === 0) {
    throw ruleBroken('nothing-to-order', 'Stock and open orders cover every dated need.');
  }
  await tx.sql(INSERT_LINES_SQL, [
    tx.organisationId,
    plan.id,
    JSON.stringify(
      plan.lines.map(({ offer, amount, explanation, ...line }) => ({
        ...line,
        offerId: offer.id,
        packCode: offer.packCode,
        packContent: offer.packContent,
        pricePerPack: offer.pricePerPack,
        amount: amount.amount,
        covers: explanation.covers,
        explanation,
      })),
    ),
  ]);
  await tx.audit('create', 'supply plan', plan.id, {
    code,
    lineCount: plan.lines.length,
    shortfallCount: plan.shortfalls.length,
  });
}
