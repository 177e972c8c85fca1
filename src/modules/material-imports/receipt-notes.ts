import type { NewDeliveryNote, NewGoodsReceipt } from '../../../shared/contract/receipt.ts';
import { sumQuantities } from '../../../shared/takeoff/quantity.ts';
import type { CheckedRow } from '../../imports/check-file.ts';
import type { ImportErrors } from '../../imports/import-errors.ts';
import type { KnownOrder } from './orders-repository.ts';
import type { ReceiptCells } from './receipt-columns.ts';

export interface ReceiptRow {
  readonly line: number;
  readonly cells: ReceiptCells;
  readonly order: KnownOrder;
  readonly orderLineId: string;
  readonly storeId: string;
}

/** The rows of one delivery note, by the lines of its order. */
export interface NoteOfFile {
  readonly order: KnownOrder;
  readonly rows: readonly ReceiptRow[];
  /** Several rows of one order line are its lots. */
  readonly lines: readonly (readonly ReceiptRow[])[];
}

const OF_THE_NOTE = [
  ['dispatchedOn', 'dispatched_on'],
  ['receivedOn', 'received_on'],
  ['storeCode', 'store_code'],
] as const;

/** Groups rows by order and note; what a note says once must be the same in all of its rows. */
export function notesOf(rows: readonly ReceiptRow[], errors: ImportErrors): NoteOfFile[] {
  const groups = new Map<string, ReceiptRow[]>();
  for (const row of rows) {
    const key = JSON.stringify([row.order.id, row.cells.noteNumber]);
    groups.set(key, [...(groups.get(key) ?? []), row]);
  }
  return [...groups.values()].flatMap((ofNote) => {
    const [first, ...others] = ofNote;
    if (!first) return [];
    for (const { line, cells } of others) {
      for (const [field, column] of OF_THE_NOTE) {
        if (cells[field] === first.cells[field]) continue;
        const hint = `differs from line ${first.line} of the same delivery note: ${first.cells[field]}`;
        errors.add(line, column, { code: 'note.differs', hint }, cells[field]);
      }
    }
    if (ofNote.some(({ line }) => errors.isBad(line))) return [];
    const byLine = new Map<string, ReceiptRow[]>();
    for (const row of ofNote) {
      byLine.set(row.orderLineId, [...(byLine.get(row.orderLineId) ?? []), row]);
    }
    return [{ order: first.order, rows: ofNote, lines: [...byLine.values()] }];
  });
}

const total = (
  rows: readonly ReceiptRow[],
  field: 'dispatched' | 'good' | 'damaged' | 'missing' | 'excess',
) => sumQuantities(rows.map(({ cells }) => cells[field] ?? '0'));

/** The delivery note that the rows describe. */
export function deliveryNoteOf({ rows, lines }: NoteOfFile): NewDeliveryNote {
  const cells = rows[0]?.cells;
  return {
    noteNumber: cells?.noteNumber ?? '',
    dispatchedOn: cells?.dispatchedOn ?? '',
    dispatchedFrom: '',
    transporter: '',
    vehicle: '',
    remarks: '',
    lines: lines.map((ofLine) => ({
      orderLineId: ofLine[0]?.orderLineId ?? '',
      dispatchedQuantity: total(ofLine, 'dispatched'),
    })),
  };
}

/** The receipt that the rows describe; rows that name a lot bring their good quantity in it. */
export function receiptOf({ rows, lines }: NoteOfFile): NewGoodsReceipt {
  const [first] = rows;
  return {
    storeId: first?.storeId ?? '',
    receivedOn: first?.cells.receivedOn ?? '',
    isSignedByDriver: false,
    remarks: '',
    lines: lines.map((ofLine) => ({
      orderLineId: ofLine[0]?.orderLineId ?? '',
      goodQuantity: total(ofLine, 'good'),
      damagedQuantity: total(ofLine, 'damaged'),
      missingQuantity: total(ofLine, 'missing'),
      excessQuantity: total(ofLine, 'excess'),
      remarks: '',
      lots: lotRows(ofLine).map(({ cells }) => lotOf(cells)),
    })),
  };
}

/** The rows of an order line that bring a lot, in the order of the receipt's lots. */
export const lotRows = (ofLine: readonly ReceiptRow[]): ReceiptRow[] =>
  ofLine.filter(
    ({ cells }) => cells.lotCode !== null && cells.lotCode !== undefined && Number(cells.good) > 0,
  );

function lotOf(cells: ReceiptCells): NewGoodsReceipt['lines'][number]['lots'][number] {
  const { lotCode, manufacturedOn, certificateNumber, good } = cells;
  return {
    lot: {
      code: lotCode ?? '',
      ...(manufacturedOn ? { manufacturedOn } : {}),
      ...(certificateNumber ? { certificateNumber } : {}),
    },
    quantity: good,
  };
}

/** The good rows of a file with the order line that each speaks of; what is not known is an error. */
export function rowsOfOrders(
  rows: readonly (CheckedRow & { storeId: string | null; materialId: string | null })[],
  orders: ReadonlyMap<string, KnownOrder>,
  errors: ImportErrors,
): ReceiptRow[] {
  return rows.flatMap(({ line, cells: read, isGood, storeId, materialId }): ReceiptRow[] => {
    const cells = read as unknown as ReceiptCells;
    if (typeof cells.orderCode !== 'string') return [];
    const order = orders.get(cells.orderCode);
    if (!order) {
      const hint = 'there is no such order, or it has no lines';
      errors.add(line, 'order_code', { code: 'order.unknown', hint }, cells.orderCode);
      return [];
    }
    if (materialId === null) return [];
    const [orderLineId, ...more] = order.linesByMaterial.get(materialId) ?? [];
    if (orderLineId === undefined || more.length > 0) {
      const found =
        orderLineId === undefined
          ? { code: 'material.not-ordered', hint: `is not on order ${cells.orderCode}` }
          : {
              code: 'material.ambiguous',
              hint: `stands on ${more.length + 1} lines of order ${cells.orderCode}; record this delivery by hand`,
            };
      errors.add(line, 'material_code', found, cells.materialCode);
      return [];
    }
    if (!isGood || storeId === null) return [];
    return [{ line, cells, order, orderLineId, storeId }];
  });
}
