import { v7 as uuidv7 } from 'uuid';
import type { NewOrderDecision, Order } from '../../../shared/contract/order.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError, ruleBroken } from '../../domain/errors.ts';
import { insertDecision } from './decision-repository.ts';

/** Orders that a decision still changes something for. */
const DECIDABLE = new Set(['draft', 'placed', 'partly-received', 'received']);

/**
 * Approves or refuses an order as it stands. Whoever asked for it, or amended it since it was last
 * approved, does not decide. The order must be held.
 */
export async function decideOrder(tx: Tx, order: Order, input: NewOrderDecision): Promise<void> {
  const earlier = order.decisions.find(({ id }) => id === input.id);
  if (earlier) {
    if (earlier.decision === input.decision && earlier.remarks === input.remarks) return;
    throw new DomainError('conflict', { detail: `Decision ${earlier.id} says something else.` });
  }
  if (!DECIDABLE.has(order.status)) {
    throw ruleBroken('order-decided-while-open', `Order ${order.code} is ${order.status}.`);
  }
  const requestedById = requesterOf(tx, order);
  const decision = {
    id: input.id ?? uuidv7(),
    orderId: order.id,
    decision: input.decision,
    remarks: input.remarks,
    orderVersion: order.version,
    amount: order.amount,
    requestedById,
    decidedById: tx.actor.personId,
  };
  await insertDecision(tx, decision);
  await tx.audit('decide', 'order', order.id, decision);
}

/** Whom the decision answers: the last to amend the order, or who asked for it; never the actor. */
function requesterOf(tx: Tx, { code, requestedById, decisions, amendments }: Order): string {
  const approvedAt = decisions.findLast(({ decision }) => decision === 'approved')?.decidedAt ?? '';
  const amenders = amendments
    .filter(({ recordedAt }) => recordedAt >= approvedAt)
    .map(({ amendedById }) => amendedById);
  const requesters = [requestedById, ...amenders];
  if (requesters.includes(tx.actor.personId)) {
    throw ruleBroken(
      'decided-by-another',
      `Order ${code} was requested or amended by the person who wants to decide; another person decides.`,
    );
  }
  const answered = requesters.findLast((id) => id !== null);
  if (answered) return answered;
  throw ruleBroken('decided-by-another', `Nobody is on record as having requested order ${code}.`);
}

/** Nothing goes on with an order that is not approved as it stands. */
export function requireApproved({ code, approval, amount }: Order, what: string): void {
  if (approval === 'approved') return;
  const state = approval === 'refused' ? 'was refused' : 'waits for another person’s approval';
  throw ruleBroken(
    'order-not-approved',
    `Order ${code} of ${amount.amount} ${amount.currency} ${state}; ${what}.`,
  );
}
