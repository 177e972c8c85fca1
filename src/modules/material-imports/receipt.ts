import type {
  DeliveryNote,
  GoodsReceipt,
  NewDeliveryNote,
  NewGoodsReceipt,
} from '../../../shared/contract/receipt.ts';
import { compareQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent } from '../../domain/errors.ts';
import type { DoneRow, ImportKind } from './import-kind.ts';
import { knownCodes } from './known-codes.ts';
import { ordersByCode } from './orders-repository.ts';
import {
  deliveryNoteOf,
  lotRows,
  type NoteOfFile,
  notesOf,
  type ReceiptRow,
  receiptOf,
  rowsOfOrders,
} from './receipt-notes.ts';
import { orRowErrors } from './row-refusal.ts';

/** What receipts of goods do for a list of them. */
export interface ReceiptLedger {
  notes(tx: Tx, orderId: string): Promise<DeliveryNote[]>;
  recordNote(tx: Tx, orderId: string, input: NewDeliveryNote): Promise<DeliveryNote>;
  receive(tx: Tx, noteId: string, input: NewGoodsReceipt): Promise<GoodsReceipt>;
}

const COLUMN_OF = {
  orderLineId: 'material_code',
  materialId: 'material_code',
  storeId: 'store_code',
  noteNumber: 'note_number',
  dispatchedOn: 'dispatched_on',
  receivedOn: 'received_on',
  dispatchedQuantity: 'dispatched',
  goodQuantity: 'good',
  damagedQuantity: 'damaged',
  missingQuantity: 'missing',
  excessQuantity: 'excess',
  quantity: 'good',
  lots: 'lot_code',
  lot: 'lot_code',
  code: 'lot_code',
  manufacturedOn: 'manufactured_on',
  certificateNumber: 'certificate_number',
};

const CELL_OF = {
  orderLineId: 'materialCode',
  materialId: 'materialCode',
  storeId: 'storeCode',
  dispatchedQuantity: 'dispatched',
  goodQuantity: 'good',
  damagedQuantity: 'damaged',
  missingQuantity: 'missing',
  excessQuantity: 'excess',
  quantity: 'good',
  lots: 'lotCode',
  lot: 'lotCode',
  code: 'lotCode',
};

/**
 * Lists of receipts: the rows of one delivery note make the note, unless it is on record, and its
 * receipt, by the rules that hold for one recorded by hand.
 */
export function receiptKind(ledger: ReceiptLedger): ImportKind {
  return {
    kind: 'receipt',
    noun: 'list of receipts',
    maxRows: 2_000,
    changing: 'Orders, delivery notes, stores or materials',
    read: 'stock:read',
    write: 'stock:write',
    async run(tx, _importId, rows, errors) {
      const stores = await knownCodes(tx, 'store');
      const materials = await knownCodes(tx, 'material');
      const orderCodes = new Set(rows.map(({ cells }) => cells.orderCode));
      const codes = [...orderCodes].filter((code) => typeof code === 'string');
      const orders = await ordersByCode(tx, codes);
      const named = rows.map((row) => ({
        ...row,
        storeId: stores.idOf(row.line, row.cells.storeCode, errors),
        materialId: materials.idOf(row.line, row.cells.materialCode, errors),
      }));
      const done: DoneRow[] = [];
      for (const note of notesOf(rowsOfOrders(named, orders, errors), errors)) {
        const [first] = note.rows;
        if (!first) continue;
        const row = {
          line: first.line,
          cells: { ...first.cells },
          columnOf: COLUMN_OF,
          cellOf: CELL_OF,
          rowAt: (pointer: string) => rowAt(note, pointer),
        };
        const receipt = await orRowErrors(tx, row, errors, async () => {
          const known = (await ledger.notes(tx, note.order.id)).find(
            ({ noteNumber }) => noteNumber === first.cells.noteNumber,
          );
          if (known) requireSameNote(known, note);
          const { id } =
            known ?? (await ledger.recordNote(tx, note.order.id, deliveryNoteOf(note)));
          return {
            noteId: known?.id ?? null,
            received: await ledger.receive(tx, id, receiptOf(note)),
          };
        });
        if (receipt) done.push(...note.rows.map((each) => doneRow(each, receipt.noteId)));
      }
      return done.sort((a, b) => a.line - b.line);
    },
  };
}

/** The row that a refusal of a note or receipt speaks of. */
function rowAt({ lines }: NoteOfFile, pointer: string): ReceiptRow | undefined {
  const [, index, place] = /^\/lines\/(\d+)(?:\/lots\/(\d+))?/.exec(pointer) ?? [];
  const ofLine = index === undefined ? undefined : lines[Number(index)];
  return place === undefined || !ofLine ? ofLine?.[0] : lotRows(ofLine)[Number(place)];
}

/** A note that is on record already must say what the file says was dispatched. */
function requireSameNote(known: DeliveryNote, note: NoteOfFile): void {
  const told = deliveryNoteOf(note);
  const errors = told.lines.flatMap(({ orderLineId, dispatchedQuantity }, index) => {
    const line = known.lines.find((one) => one.orderLineId === orderLineId);
    if (line && compareQuantities(line.dispatchedQuantity, dispatchedQuantity) === 0) return [];
    const message = line
      ? `the delivery note on record says ${line.dispatchedQuantity}, the file ${dispatchedQuantity}`
      : 'the delivery note on record does not have this material';
    return [
      {
        pointer: `/lines/${index}/dispatchedQuantity`,
        code: 'note.differs',
        message,
        rejectedValue: dispatchedQuantity,
      },
    ];
  });
  if (known.dispatchedOn !== told.dispatchedOn) {
    errors.push({
      pointer: '/dispatchedOn',
      code: 'note.differs',
      message: `the delivery note on record says ${known.dispatchedOn}`,
      rejectedValue: told.dispatchedOn,
    });
  }
  if (errors.length > 0) throw invalidContent(errors);
}

function doneRow({ line, cells, order }: ReceiptRow, noteId: string | null): DoneRow {
  const { orderCode, noteNumber, materialCode, lotCode, good } = cells;
  return {
    line,
    label: [orderCode, noteNumber, materialCode, lotCode].filter(Boolean).join(' '),
    action: 'create',
    changes: [{ field: 'good', from: null, to: good }],
    touched: [order.id, order.version, noteId],
  };
}
