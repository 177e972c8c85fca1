import { v7 as uuidv7 } from 'uuid';
import { isPayable, notPayable } from '../../../shared/contract/offer.ts';
import type {
  NewOrderAmendment,
  Order,
  OrderAmendment,
  OrderLine,
} from '../../../shared/contract/order.ts';
import { sumMoney, timesMoney } from '../../../shared/costing/money.ts';
import {
  compareQuantities,
  type Quantity,
  scaleQuantity,
} from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { type FieldError, invalidContent, ruleBroken } from '../../domain/errors.ts';
import { writeAmendment } from './amendment-repository.ts';

const AMENDABLE = new Set(['draft', 'placed', 'partly-received', 'received']);

type Change = OrderAmendment['lines'][number];

/**
 * Changes packs, prices or the day of need of an order and keeps what stood before. No line falls
 * below what was received or paid of it. The order must be held.
 *
 * @param paidOf what paid invoices already took of each order line
 */
export async function amendOrder(
  tx: Tx,
  order: Order,
  input: NewOrderAmendment & { readonly amendedOn: string },
  paidOf: ReadonlyMap<string, Quantity>,
): Promise<OrderAmendment['amountAfter']> {
  const { reason, amendedOn, neededBy = order.neededBy } = input;
  if (!AMENDABLE.has(order.status)) {
    throw ruleBroken('order-amended-while-open', `Order ${order.code} is ${order.status}.`);
  }
  const errors: FieldError[] = [];
  const lines: Change[] = [];
  for (const [index, wanted] of input.lines.entries()) {
    const pointer = `/lines/${index}`;
    const line = order.lines.find(({ id }) => id === wanted.orderLineId);
    if (!line || lines.some(({ orderLineId }) => orderLineId === line.id)) {
      errors.push({
        pointer: `${pointer}/orderLineId`,
        code: line ? 'line.twice' : 'reference.unknown',
        message: line ? 'occurs twice' : `is not a line of order ${order.code}`,
        rejectedValue: wanted.orderLineId,
      });
      continue;
    }
    const change = changeOf(line, wanted);
    errors.push(...faultsOf(line, change, paidOf.get(line.id) ?? '0', pointer));
    lines.push(change);
  }
  if (errors.length > 0) throw invalidContent(errors);
  const changed = lines.filter(({ before, after }) => !isSame(before, after));
  const dayChanges = neededBy !== order.neededBy;
  if (changed.length === 0 && !dayChanges) {
    throw ruleBroken('amendment-changes-nothing', `Order ${order.code} says all of this already.`);
  }
  const afterOf = new Map(changed.map(({ orderLineId, after }) => [orderLineId, after.amount]));
  const amountAfter = sumMoney(
    order.lines.map(({ id, amount }) => afterOf.get(id) ?? amount),
    order.amount.currency,
  );
  const amendment = {
    id: input.id ?? uuidv7(),
    amendmentNumber: order.amendments.length + 1,
    amendedOn,
    reason,
    neededBy: dayChanges ? { before: order.neededBy, after: neededBy } : null,
    lines: changed,
    amountBefore: order.amount,
    amountAfter,
  };
  await writeAmendment(tx, order.id, neededBy, amendment);
  await tx.audit('amend', 'order', order.id, amendment);
  return amountAfter;
}

function changeOf(line: OrderLine, wanted: NewOrderAmendment['lines'][number]): Change {
  const { packCount = line.packCount, pricePerPack = line.pricePerPack } = wanted;
  const before = {
    packCount: line.packCount,
    pricePerPack: line.pricePerPack,
    amount: line.amount,
  };
  const isUntouched = packCount === line.packCount && pricePerPack === line.pricePerPack;
  const price = { amount: pricePerPack, currency: line.amount.currency };
  const amount = isUntouched ? line.amount : timesMoney(price, packCount);
  return {
    orderLineId: line.id,
    materialCode: line.materialCode,
    before,
    after: { packCount, pricePerPack, amount },
  };
}

function faultsOf(line: OrderLine, { after }: Change, paid: Quantity, pointer: string) {
  const errors: FieldError[] = [];
  const ordered = scaleQuantity(line.packContent, after.packCount);
  for (const [quantity, what] of [
    [line.receivedQuantity, 'were received'],
    [paid, 'were paid'],
  ] as const) {
    const isExcess = compareQuantities(quantity, line.orderedQuantity) > 0;
    if (compareQuantities(ordered, quantity) >= 0) continue;
    // More was taken in than was ever ordered: any step up is good.
    if (isExcess && after.packCount >= line.packCount) continue;
    errors.push({
      pointer: `${pointer}/packCount`,
      code: 'amendment.below-received',
      message: `${after.packCount} packs are ${ordered} ${line.unitCode} of ${line.materialCode}, of which ${quantity} ${what}`,
      rejectedValue: after.packCount,
    });
  }
  const { currency } = line.amount;
  if (after.pricePerPack !== line.pricePerPack && !isPayable(after.pricePerPack, currency)) {
    errors.push({
      pointer: `${pointer}/pricePerPack`,
      code: 'price.not-payable',
      message: notPayable(currency),
      rejectedValue: after.pricePerPack,
    });
  }
  return errors;
}

const isSame = (before: Change['before'], after: Change['after']) =>
  before.packCount === after.packCount &&
  Number(before.pricePerPack) === Number(after.pricePerPack);
