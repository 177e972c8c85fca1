import { v7 as uuidv7 } from 'uuid';
import type { Claim, NewClaimSettlement } from '../../../shared/contract/claim.ts';
import type { Order } from '../../../shared/contract/order.ts';
import { compareMoney } from '../../../shared/costing/money.ts';
import { packWorth } from '../../../shared/procurement/pack-worth.ts';
import { compareQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound, ruleBroken } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import {
  type ClaimInsert,
  countClaims,
  findClaim,
  insertClaims,
  listClaims,
  lockClaim,
  settleClaim,
} from './repository.ts';

/** A line of a receipt that has something to claim. */
export interface ClaimedLine {
  readonly receiptLineId: string;
  readonly orderLineId: string;
  readonly damagedQuantity: string;
  readonly missingQuantity: string;
  readonly excessQuantity: string;
}

export interface Claims {
  readonly list: typeof listClaims;
  get(tx: Tx, id: string): Promise<Claim>;
  settle(tx: Tx, id: string, input: NewClaimSettlement): Promise<Claim>;
  /** Claims what came damaged, did not come, or came above the note, at the order's prices. */
  raise(tx: Tx, order: Order, claimedOn: string, lines: readonly ClaimedLine[]): Promise<void>;
}

/** How each kind of claim can end. */
const ENDINGS: Readonly<Record<Claim['kind'], readonly Claim['status'][]>> = {
  damaged: ['credited', 'replaced', 'returned', 'rejected'],
  missing: ['credited', 'replaced', 'rejected'],
  excess: ['returned', 'bought', 'rejected'],
};

const KINDS = ['damaged', 'missing', 'excess'] as const;

export function createClaims(
  clock: Clock,
  readOrder: (tx: Tx, id: string) => Promise<Order>,
): Claims {
  async function get(tx: Tx, id: string): Promise<Claim> {
    const claim = await findClaim(tx, id);
    if (!claim) throw notFound('claim', id);
    return claim;
  }

  return {
    list: listClaims,
    get,
    async raise(tx, order, claimedOn, lines) {
      const count = await countClaims(tx, order.id);
      const claims: ClaimInsert[] = [];
      for (const line of lines) {
        const ordered = order.lines.find(({ id }) => id === line.orderLineId);
        if (!ordered) throw new Error('A receipt line has no line of its order');
        const { packContent, pricePerPack, amount } = ordered;
        for (const kind of KINDS) {
          const quantity = line[`${kind}Quantity`];
          if (compareQuantities(quantity, '0') === 0) continue;
          claims.push({
            id: uuidv7(),
            code: `${order.code}-C${count + claims.length + 1}`,
            receiptLineId: line.receiptLineId,
            kind,
            quantity,
            amount: packWorth(quantity, packContent, pricePerPack, amount.currency).amount,
          });
        }
      }
      if (claims.length === 0) return;
      const { id: orderId, amount } = order;
      await insertClaims(tx, { orderId, currency: amount.currency, claimedOn }, claims);
      for (const { id, ...detail } of claims) await tx.audit('raise', 'claim', id, detail);
    },
    async settle(tx, id, { settledOn = clock.today(), ...input }) {
      const claim = await lockClaim(tx, id);
      if (!claim) throw notFound('claim', id);
      if (claim.status !== 'open') {
        throw ruleBroken(
          'claim-settled-once',
          `Claim ${claim.code} was ${claim.status} on ${claim.settledOn} already.`,
        );
      }
      refuseFutureDate(clock, '/settledOn', settledOn);
      refuseWrongValues(claim, { ...input, settledOn });
      if (input.status === 'bought') await requireBought(tx, claim);
      await settleClaim(tx, id, { ...input, settledOn });
      await tx.audit('settle', 'claim', id, { ...input, settledOn });
      return get(tx, id);
    },
  };

  /** What is kept and paid must be on order: an amendment takes it up, with its approval. */
  async function requireBought(tx: Tx, claim: Claim) {
    const order = await readOrder(tx, claim.orderId);
    const line = order.lines.find(({ materialId }) => materialId === claim.materialId);
    if (line && compareQuantities(line.orderedQuantity, line.receivedQuantity) >= 0) return;
    throw ruleBroken(
      'excess-bought-by-amendment',
      `Order ${order.code} has ${line?.orderedQuantity ?? '0'} of ${claim.materialCode} and ${line?.receivedQuantity ?? '0'} came; amend the order before its excess counts as bought.`,
    );
  }
}

function refuseWrongValues(
  claim: Claim,
  { status, settledOn, creditedAmount }: NewClaimSettlement & { settledOn: string },
): void {
  const refuse = (pointer: string, code: string, message: string, rejectedValue: unknown) =>
    invalidContent([{ pointer, code, message, rejectedValue }]);
  if (!ENDINGS[claim.kind].includes(status)) {
    const message = `a claim of ${claim.kind} goods ends as ${ENDINGS[claim.kind].join(', ')}`;
    throw refuse('/status', 'claim.other-ending', message, status);
  }
  if (settledOn < claim.claimedOn) {
    const message = `must not be before the claim of ${claim.claimedOn}`;
    throw refuse('/settledOn', 'date.out-of-range', message, settledOn);
  }
  if (creditedAmount === undefined) return;
  if (creditedAmount.currency !== claim.amount.currency) {
    const message = `must be ${claim.amount.currency}`;
    throw refuse('/creditedAmount/currency', 'currency.other', message, creditedAmount.currency);
  }
  if (compareMoney(creditedAmount, claim.amount) > 0) {
    const message = `must not be above the claim of ${claim.amount.amount}`;
    throw refuse('/creditedAmount/amount', 'claim.above', message, creditedAmount.amount);
  }
}
