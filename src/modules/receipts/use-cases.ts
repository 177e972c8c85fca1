import { v7 as uuidv7 } from 'uuid';
import type { Order } from '../../../shared/contract/order.ts';
import type {
  DeliveryNote,
  GoodsReceipt,
  NewDeliveryNote,
  NewGoodsReceipt,
} from '../../../shared/contract/receipt.ts';
import { compareQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import {
  DomainError,
  type FieldError,
  invalidContent,
  notFound,
  ruleBroken,
} from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import type { ClaimedLine } from '../claims/use-cases.ts';
import type { CostMovement } from '../orders/order-costs.ts';
import type { ReceiptPosting } from '../stock/post-receipt.ts';
import { matchCounts } from './count-lines.ts';
import { findNote, insertNote, listNotes } from './note-repository.ts';
import { postGood } from './post-good.ts';
import {
  countReceipts,
  findReceipt,
  insertReceipt,
  listReceipts,
  storeExists,
} from './repository.ts';

/** What receipts need from the other slices. */
export interface ReceiptParts {
  readonly clock: Clock;
  readonly orders: {
    get(tx: Tx, id: string): Promise<Order>;
    lock(tx: Tx, id: string): Promise<Order>;
    settle(tx: Tx, id: string, movement: CostMovement): Promise<void>;
  };
  readonly claims: {
    raise(tx: Tx, order: Order, claimedOn: string, lines: readonly ClaimedLine[]): Promise<void>;
  };
  postReceipt(tx: Tx, receipt: ReceiptPosting): Promise<unknown>;
}

export interface Receipts {
  readonly list: typeof listReceipts;
  get(tx: Tx, id: string): Promise<GoodsReceipt>;
  notes(tx: Tx, orderId: string): Promise<DeliveryNote[]>;
  getNote(tx: Tx, id: string): Promise<DeliveryNote>;
  recordNote(tx: Tx, orderId: string, input: NewDeliveryNote): Promise<DeliveryNote>;
  receive(tx: Tx, noteId: string, input: NewGoodsReceipt): Promise<GoodsReceipt>;
}

/** Orders that goods may come for; a whole one may still get an excess. */
const RECEIVABLE = new Set(['placed', 'partly-received', 'received']);

export function createReceipts({ clock, orders, claims, postReceipt }: ReceiptParts): Receipts {
  async function get(tx: Tx, id: string): Promise<GoodsReceipt> {
    const receipt = await findReceipt(tx, id);
    if (!receipt) throw notFound('receipt', id);
    return receipt;
  }

  async function getNote(tx: Tx, id: string): Promise<DeliveryNote> {
    const note = await findNote(tx, id);
    if (!note) throw notFound('delivery note', id);
    return note;
  }

  return {
    list: listReceipts,
    get,
    getNote,
    async notes(tx, orderId) {
      await orders.get(tx, orderId);
      return listNotes(tx, orderId);
    },

    async recordNote(tx, orderId, input) {
      const order = await orders.lock(tx, orderId);
      const earlier = input.id === undefined ? null : await findNote(tx, input.id);
      if (earlier) return sameNote(earlier, orderId, input);
      requireReceivable(order);
      refuseFutureDate(clock, '/dispatchedOn', input.dispatchedOn);
      refuseBefore('/dispatchedOn', input.dispatchedOn, order.placedOn, 'the order was placed');
      requireLinesOf(order, input.lines);
      const notes = await listNotes(tx, orderId);
      if (notes.some(({ noteNumber }) => noteNumber === input.noteNumber)) {
        throw ruleBroken(
          'delivery-note-once',
          `Order ${order.code} has delivery note ${input.noteNumber} already.`,
        );
      }
      const id = input.id ?? uuidv7();
      await insertNote(tx, id, orderId, input);
      await tx.audit('record', 'delivery note', id, input);
      return getNote(tx, id);
    },

    async receive(tx, noteId, input) {
      const { orderId } = await getNote(tx, noteId);
      const order = await orders.lock(tx, orderId);
      const note = await getNote(tx, noteId);
      const earlier = input.id === undefined ? null : await findReceipt(tx, input.id);
      if (earlier) return sameReceipt(earlier, noteId, input);
      if (note.receiptId !== null) {
        throw ruleBroken(
          'delivery-note-received-once',
          `The goods of delivery note ${note.noteNumber} were received already.`,
        );
      }
      requireReceivable(order);
      const { storeId, receivedOn, isSignedByDriver, remarks } = input;
      refuseFutureDate(clock, '/receivedOn', receivedOn);
      refuseBefore('/receivedOn', receivedOn, note.dispatchedOn, 'the goods were dispatched');
      const counts = matchCounts(note, input.lines);
      const receipt = {
        ...{ orderId, storeId, receivedOn, isSignedByDriver, remarks },
        id: input.id ?? uuidv7(),
        deliveryNoteId: noteId,
        receiptNumber: `${order.code}-R${(await countReceipts(tx, orderId)) + 1}`,
        lines: counts.map(({ counted: { lots: _, ...counted }, noted }) => ({
          ...counted,
          id: uuidv7(),
          dispatchedQuantity: noted.dispatchedQuantity,
        })),
      };
      await requireStore(tx, storeId);
      await insertReceipt(tx, receipt);
      await postGood(tx, postReceipt, receipt, counts);
      const claimed = receipt.lines.map(({ id, ...line }) => ({ ...line, receiptLineId: id }));
      await claims.raise(tx, order, receivedOn, claimed);
      await orders.settle(tx, orderId, {
        occurredOn: receivedOn,
        evidence: `receipt ${receipt.receiptNumber}`,
        receiptId: receipt.id,
      });
      await tx.audit('receive', 'receipt', receipt.id, receipt);
      return get(tx, receipt.id);
    },
  };
}

async function requireStore(tx: Tx, storeId: string): Promise<void> {
  if (await storeExists(tx, storeId)) return;
  throw invalidContent([
    {
      pointer: '/storeId',
      code: 'reference.unknown',
      message: 'names a store that does not exist',
      rejectedValue: storeId,
    },
  ]);
}

function requireReceivable({ code, status, approval, amendments }: Order): void {
  if (!RECEIVABLE.has(status)) {
    throw ruleBroken(
      'order-not-placed',
      `Order ${code} is ${status}; goods are received for placed orders.`,
    );
  }
  if (amendments.length === 0 || approval === 'approved') return;
  throw ruleBroken(
    'order-not-approved',
    `Order ${code} was amended and is not approved as it stands now; no goods are taken in for it.`,
  );
}

function refuseBefore(pointer: string, day: string, earliest: string | null, what: string): void {
  if (earliest === null || day >= earliest) return;
  throw invalidContent([
    {
      pointer,
      code: 'date.out-of-range',
      message: `must not be before ${earliest}, when ${what}`,
      rejectedValue: day,
    },
  ]);
}

function requireLinesOf(order: Order, lines: NewDeliveryNote['lines']): void {
  const errors: FieldError[] = [];
  for (const [index, { orderLineId }] of lines.entries()) {
    const isKnown = order.lines.some(({ id }) => id === orderLineId);
    const isTwice = lines.findIndex((line) => line.orderLineId === orderLineId) < index;
    if (isKnown && !isTwice) continue;
    errors.push({
      pointer: `/lines/${index}/orderLineId`,
      code: isKnown ? 'line.twice' : 'reference.unknown',
      message: isKnown ? 'occurs twice' : `is not a line of order ${order.code}`,
      rejectedValue: orderLineId,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
}

function sameNote(earlier: DeliveryNote, orderId: string, input: NewDeliveryNote): DeliveryNote {
  const isSame =
    earlier.orderId === orderId &&
    earlier.noteNumber === input.noteNumber &&
    earlier.lines.length === input.lines.length &&
    input.lines.every(({ orderLineId, dispatchedQuantity }) =>
      earlier.lines.some(
        (line) =>
          line.orderLineId === orderLineId &&
          compareQuantities(line.dispatchedQuantity, dispatchedQuantity) === 0,
      ),
    );
  if (isSame) return earlier;
  throw new DomainError('conflict', { detail: `Delivery note ${earlier.id} says something else.` });
}

const COUNTS = ['goodQuantity', 'damagedQuantity', 'missingQuantity', 'excessQuantity'] as const;

/** The receipt as it was recorded, when it is the same one that comes again. */
function sameReceipt(earlier: GoodsReceipt, noteId: string, input: NewGoodsReceipt): GoodsReceipt {
  const isSame =
    earlier.deliveryNoteId === noteId &&
    earlier.storeId === input.storeId &&
    earlier.receivedOn === input.receivedOn &&
    earlier.lines.length === input.lines.length &&
    input.lines.every((line) => {
      const stored = earlier.lines.find(({ orderLineId }) => orderLineId === line.orderLineId);
      return stored && COUNTS.every((field) => compareQuantities(stored[field], line[field]) === 0);
    });
  if (isSame) return earlier;
  throw new DomainError('conflict', { detail: `Receipt ${earlier.id} was recorded otherwise.` });
}
