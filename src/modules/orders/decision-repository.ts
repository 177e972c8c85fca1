import type { NewOrderDecision, OrderDecision } from '../../../shared/contract/order.ts';
import type { Money } from '../../../shared/costing/money.ts';
import type { Tx } from '../../db/database.ts';
import { moneyOf } from '../../db/wire-values.ts';

const LIST_SQL = `
  select id, decision, order_version as "orderVersion", amount, currency, remarks,
    requested_by_id as "requestedById", decided_by_id as "decidedById", decided_at as "decidedAt"
  from order_decision where organisation_id = $1 and order_id = $2
  order by decided_at, id`;

const INSERT_SQL = `
  insert into order_decision (organisation_id, id, order_id, decision, order_version, amount, currency,
    remarks, requested_by_id, decided_by_id)
  values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`;

type DecisionRow = Omit<OrderDecision, 'amount'> & { amount: string; currency: string };

/** Decisions of an order, the oldest first. */
export async function listDecisions(tx: Tx, orderId: string): Promise<OrderDecision[]> {
  const rows = await tx.sql<DecisionRow>(LIST_SQL, [tx.organisationId, orderId]);
  return rows.map(({ amount, currency, ...row }) => ({
    ...row,
    amount: moneyOf(amount, currency),
  }));
}

export interface DecisionInsert extends Required<Pick<NewOrderDecision, 'decision' | 'remarks'>> {
  readonly id: string;
  readonly orderId: string;
  readonly orderVersion: number;
  readonly amount: Money;
  readonly requestedById: string;
  readonly decidedById: string;
}

export async function insertDecision(tx: Tx, decision: DecisionInsert): Promise<void> {
  await tx.sql(INSERT_SQL, [
    tx.organisationId,
    decision.id,
    decision.orderId,
    decision.decision,
    decision.orderVersion,
    decision.amount.amount,
    decision.amount.currency,
    decision.remarks,
    decision.requestedById,
    decision.decidedById,
  ]);
}
