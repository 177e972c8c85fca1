import { v7 as uuidv7 } from 'uuid';
import { sumMoney } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { insertDecision } from './decision-repository.ts';

export interface DraftLine {
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

export interface DraftOrder {
  readonly code: string;
  readonly supplierId: string;
  readonly deliveryVillageId: string;
  readonly neededBy: string;
  readonly lines: readonly DraftLine[];
}

/** Where drafts come from, and who approved them there. */
export interface DraftOrigin {
  readonly programmeId: string;
  readonly requisitionId: string;
  readonly requisitionCode: string;
  readonly supplyPlanId: string | null;
  readonly currency: string;
  readonly pricedOn: string;
  readonly requestedById: string;
  readonly decidedById: string;
}

const INSERT_SQL = `
  insert into purchase_order (organisation_id, id, programme_id, requisition_id, supply_plan_id, supplier_id,
    delivery_village_id, code, status, currency, priced_on, needed_by, requested_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, 'draft', $9, $10, $11, $12)`;

const INSERT_LINES_SQL = `
  insert into purchase_order_line (organisation_id, id, order_id, material_id, offer_id, unit_code,
    need_quantity, pack_code, pack_content, pack_count, ordered_quantity, rounding_quantity,
    price_per_pack, amount)
  select $1, gen_random_uuid(), $2, x."materialId", x."offerId", x."unitCode", x."needQuantity",
    x."packCode", x."packContent", x."packCount", x."orderedQuantity", x."roundingQuantity",
    x."pricePerPack", x.amount
  from jsonb_to_recordset($3::jsonb) as x ("materialId" uuid, "offerId" uuid, "unitCode" text,
    "needQuantity" numeric, "packCode" text, "packContent" numeric, "packCount" integer,
    "orderedQuantity" numeric, "roundingQuantity" numeric, "pricePerPack" numeric, amount numeric)`;

/** Drafts the orders of an approved requisition; each is approved as it stands by who approved that. */
export async function draftApprovedOrders(
  tx: Tx,
  origin: DraftOrigin,
  orders: readonly DraftOrder[],
): Promise<void> {
  const { currency, requestedById, decidedById } = origin;
  for (const order of orders) {
    const id = uuidv7();
    await tx.sql(INSERT_SQL, [
      tx.organisationId,
      id,
      origin.programmeId,
      origin.requisitionId,
      origin.supplyPlanId,
      order.supplierId,
      order.deliveryVillageId,
      order.code,
      currency,
      origin.pricedOn,
      order.neededBy,
      requestedById,
    ]);
    await tx.sql(INSERT_LINES_SQL, [tx.organisationId, id, JSON.stringify(order.lines)]);
    const amounts = order.lines.map(({ amount }) => ({ amount, currency }));
    const amount = sumMoney(amounts, currency);
    const remarks = `Approved with requisition ${origin.requisitionCode}`;
    await insertDecision(tx, {
      id: uuidv7(),
      orderId: id,
      decision: 'approved',
      remarks,
      orderVersion: 1,
      ...{ amount, requestedById, decidedById },
    });
    await tx.audit('create', 'order', id, { code: order.code, amount, remarks });
  }
}
