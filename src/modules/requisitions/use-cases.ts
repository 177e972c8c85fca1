import { v7 as uuidv7 } from 'uuid';
import type { OrderSummary } from '../../../shared/contract/order.ts';
import type {
  NewPlanRequisition,
  NewRequisition,
  NewRequisitionDecision,
  Requisition,
} from '../../../shared/contract/requisition.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { DomainError, invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import type { DraftOrder, DraftOrigin } from '../orders/draft-orders.ts';
import { checkLines, notHolding } from './check-lines.ts';
import { requisitionFromPlanLines } from './from-plan.ts';
import {
  type BareRequisition,
  decideRequisition,
  findRequisition,
  insertRequisition,
  listRequisitions,
  lockRequisition,
  setRequisitionStatus,
} from './repository.ts';
import { findOffers, lockProgramme } from './source-repository.ts';
import { splitIntoOrders } from './split-orders.ts';

/** What requisitions need of the orders that they become. */
export interface OrdersOfRequisitions {
  draft(tx: Tx, origin: DraftOrigin, orders: readonly DraftOrder[]): Promise<void>;
  list(tx: Tx, requisitionId: string): Promise<OrderSummary[]>;
}

export interface Requisitions {
  readonly list: typeof listRequisitions;
  get(tx: Tx, id: string): Promise<Requisition>;
  make(tx: Tx, input: NewRequisition): Promise<Requisition>;
  makeFromPlan(tx: Tx, planId: string, input: NewPlanRequisition): Promise<Requisition>;
  decide(tx: Tx, id: string, input: NewRequisitionDecision): Promise<Requisition>;
  withdraw(tx: Tx, id: string, reason: string): Promise<Requisition>;
  /** Drafts the orders of an approved requisition; they carry its approval. */
  order(tx: Tx, id: string): Promise<Requisition>;
}

export function createRequisitions(clock: Clock, orders: OrdersOfRequisitions): Requisitions {
  async function get(tx: Tx, id: string): Promise<Requisition> {
    const requisition = await findRequisition(tx, id);
    if (!requisition) throw notFound('requisition', id);
    return { ...requisition, orders: await orders.list(tx, id) };
  }

  async function lock(tx: Tx, id: string): Promise<BareRequisition> {
    const requisition = await lockRequisition(tx, id);
    if (!requisition) throw notFound('requisition', id);
    return requisition;
  }

  return {
    list: listRequisitions,
    get,

    async make(tx, input) {
      const { programmeId, reason } = input;
      const programme = await lockProgramme(tx, programmeId);
      if (!programme) throw unknownProgramme(programmeId);
      const earlier = input.id === undefined ? null : await findRequisition(tx, input.id);
      if (earlier) {
        if (earlier.programmeId === programmeId && earlier.reason === reason) {
          return get(tx, earlier.id);
        }
        throw new DomainError('conflict', {
          detail: `Requisition ${earlier.code} says something else.`,
        });
      }
      const today = clock.today();
      const lines = await checkLines(tx, input.lines, { today, currency: programme.currency });
      const id = input.id ?? uuidv7();
      await insertRequisition(tx, {
        ...{ id, programmeId, reason, lines },
        supplyPlanId: null,
        code: `${programme.code}-RQ${programme.count + 1}`,
        requestedOn: today,
      });
      await tx.audit('create', 'requisition', id, input);
      return get(tx, id);
    },

    async makeFromPlan(tx, planId, input) {
      const earlier = input.id === undefined ? null : await findRequisition(tx, input.id);
      if (earlier?.supplyPlanId === planId) return get(tx, earlier.id);
      return get(tx, await requisitionFromPlanLines(tx, clock, planId, input));
    },

    async decide(tx, id, { decision, remarks }) {
      const requisition = await lock(tx, id);
      requireStatus(requisition, ['requested'], 'decided');
      if (requisition.requestedById === tx.actor.personId) {
        throw ruleBroken(
          'decided-by-another',
          `Requisition ${requisition.code} was made by the person who wants to decide; another person decides.`,
        );
      }
      await decideRequisition(tx, id, decision, remarks);
      await tx.audit('decide', 'requisition', id, { decision, remarks });
      return get(tx, id);
    },

    async withdraw(tx, id, reason) {
      requireStatus(await lock(tx, id), ['requested', 'approved'], 'withdrawn');
      await setRequisitionStatus(tx, id, 'withdrawn');
      await tx.audit('withdraw', 'requisition', id, { reason });
      return get(tx, id);
    },

    async order(tx, id) {
      const requisition = await lock(tx, id);
      requireStatus(requisition, ['approved'], 'ordered');
      const { code, lines, requestedById, decidedById, amount } = requisition;
      if (decidedById === null) throw new Error('An approved requisition has no decider');
      const pricedOn = clock.today();
      const offers = await findOffers(
        tx,
        lines.map(({ offerId }) => offerId),
      );
      const ended = lines.flatMap(({ offerId, position, materialCode, supplierCode }) => {
        const offer = offers.get(offerId);
        const reason = offer ? notHolding(offer, pricedOn) : 'is gone';
        return reason ? [`${position}: ${materialCode} of ${supplierCode} ${reason}`] : [];
      });
      if (ended.length > 0) {
        throw ruleBroken(
          'offer-not-valid',
          `Offers of requisition ${code} do not hold any more. ${ended.join('; ')}. Withdraw it and ask anew.`,
        );
      }
      const origin = {
        programmeId: requisition.programmeId,
        requisitionId: id,
        requisitionCode: code,
        supplyPlanId: requisition.supplyPlanId,
        currency: amount.currency,
        ...{ pricedOn, requestedById, decidedById },
      };
      const drafts = splitIntoOrders(code, lines, offers);
      await orders.draft(tx, origin, drafts);
      await setRequisitionStatus(tx, id, 'ordered');
      await tx.audit('order', 'requisition', id, { orders: drafts.map((draft) => draft.code) });
      return get(tx, id);
    },
  };
}

function requireStatus(
  { code, status }: BareRequisition,
  allowed: readonly BareRequisition['status'][],
  verb: string,
): void {
  if (allowed.includes(status)) return;
  throw ruleBroken(
    status === 'requested' ? 'requisition-not-approved' : 'requisition-settled',
    `Requisition ${code} is ${status}; only one that is ${allowed.join(' or ')} is ${verb}.`,
  );
}

const unknownProgramme = (rejectedValue: string) =>
  invalidContent([
    {
      pointer: '/programmeId',
      code: 'reference.unknown',
      message: 'names a programme that does not exist',
      rejectedValue,
    },
  ]);
