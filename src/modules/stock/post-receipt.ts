import { v7 as uuidv7 } from 'uuid';
import type { StockEntry } from '../../../shared/contract/stock.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent } from '../../domain/errors.ts';
import { type LotOfReceipt, takeInLot } from '../stock-lots/take-in-lot.ts';
import { holdStock } from './held-stock.ts';
import { requireStockedMaterial, requireStore } from './stock-rules.ts';

/** One line of goods that were found good and come into a store. */
export interface ReceivedLine {
  readonly receiptLineId: string;
  readonly orderLineId: string;
  readonly materialId: string;
  /** In the material's unit, above 0. */
  readonly quantity: string;
  /** Needed for a material whose lots are told apart. */
  readonly lot?: LotOfReceipt | undefined;
}

export interface ReceiptPosting {
  readonly storeId: string;
  readonly receivedOn: string;
  readonly documentNumber: string;
  readonly lines: readonly ReceivedLine[];
}

/**
 * Brings the good quantities of a receipt into the store, each with its lot, inside the transaction
 * of the caller. A lot that is not known yet is made. Orders and their status are the caller's.
 * Refusals point into `/lines/<index>` and `/storeId`.
 */
export async function postReceipt(tx: Tx, receipt: ReceiptPosting): Promise<StockEntry[]> {
  const { storeId, receivedOn, documentNumber, lines } = receipt;
  if (lines.length === 0) return [];
  const storeCode = (await requireStore(tx, storeId, '/storeId')).code;
  const taken = [];
  for (const [index, line] of lines.entries()) {
    const pointer = `/lines/${index}`;
    const material = await requireStockedMaterial(tx, line.materialId, `${pointer}/materialId`);
    if (line.lot === undefined && material.lot_identity !== 'none') {
      throw lotMissing(`${pointer}/lot`, material.code);
    }
    const lotId =
      line.lot === undefined
        ? null
        : await takeInLot(tx, line.materialId, line.lot, {
            today: receivedOn,
            pointer: `${pointer}/lot`,
          });
    taken.push({ line, material, lotId, pointer });
  }
  const held = await holdStock(
    tx,
    lines.map(({ materialId }) => ({ storeId, materialId })),
  );
  const entries: StockEntry[] = [];
  for (const { line, material, lotId, pointer } of taken) {
    const name = { storeCode, materialCode: material.code, unitCode: material.unit_code };
    const posting = {
      id: uuidv7(),
      kind: 'receive' as const,
      storeId,
      materialId: line.materialId,
      quantity: line.quantity,
      unitCode: material.unit_code,
      observedOn: receivedOn,
      orderLineId: line.orderLineId,
      receiptLineId: line.receiptLineId,
      lotId,
      documentNumber,
      reason: '',
    };
    entries.push(await held.post(posting, name, `${pointer}/quantity`));
  }
  return entries;
}

/** A material whose lots are told apart comes in with its lot. */
export const lotMissing = (pointer: string, materialCode: string) =>
  invalidContent([
    {
      pointer,
      code: 'lot.missing',
      message: `is needed: lots of ${materialCode} are told apart`,
    },
  ]);
