import { compareQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { DomainError } from '../../domain/errors.ts';
import type { ReceiptPosting } from '../stock/post-receipt.ts';
import type { LotOfReceipt } from '../stock-lots/take-in-lot.ts';
import type { MatchedCount } from './count-lines.ts';
import type { ReceiptInsert } from './repository.ts';

type ReceivedLine = ReceiptPosting['lines'][number];

/** Brings what is good into the store, lot by lot; refusals point into the lines of the receipt. */
export async function postGood(
  tx: Tx,
  postReceipt: (tx: Tx, receipt: ReceiptPosting) => Promise<unknown>,
  receipt: ReceiptInsert,
  counts: readonly MatchedCount[],
): Promise<void> {
  const posted: { readonly line: ReceivedLine; readonly pointer: string }[] = [];
  for (const [index, { counted, noted, pointer }] of counts.entries()) {
    const receiptLineId = receipt.lines[index]?.id ?? '';
    const { orderLineId, goodQuantity, lots } = counted;
    const line = { receiptLineId, orderLineId, materialId: noted.materialId };
    if (compareQuantities(goodQuantity, '0') === 0) continue;
    if (lots.length === 0) posted.push({ line: { ...line, quantity: goodQuantity }, pointer });
    for (const [place, { lot, quantity }] of lots.entries()) {
      posted.push({
        line: { ...line, quantity, lot: lot as LotOfReceipt },
        pointer: `${pointer}/lots/${place}`,
      });
    }
  }
  try {
    await postReceipt(tx, {
      storeId: receipt.storeId,
      receivedOn: receipt.receivedOn,
      documentNumber: receipt.receiptNumber,
      lines: posted.map(({ line }) => line),
    });
  } catch (error) {
    if (!(error instanceof DomainError) || !error.details.errors) throw error;
    const errors = error.details.errors.map((fault) => ({
      ...fault,
      pointer: fault.pointer.replace(
        /^\/lines\/(\d+)/,
        (whole, index: string) => posted[Number(index)]?.pointer ?? whole,
      ),
    }));
    throw new DomainError(error.code, { ...error.details, errors });
  }
}
