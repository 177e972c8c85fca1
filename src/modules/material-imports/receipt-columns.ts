import { code, decimal, shortText } from '../../../shared/contract/values.ts';
import { decimalCell, type FileShape, textCell } from '../../imports/column.ts';
import { readDate } from '../../workers/tables/cell-values.ts';

/** What a row of a list of receipts says: one material, or one lot of it, on one delivery note. */
export interface ReceiptCells {
  readonly orderCode: string;
  readonly noteNumber: string;
  readonly dispatchedOn: string;
  readonly receivedOn: string;
  readonly storeCode: string;
  readonly materialCode: string;
  readonly dispatched: string;
  readonly good: string;
  readonly damaged: string | null;
  readonly missing: string | null;
  readonly excess: string | null;
  readonly lotCode: string | null;
  readonly manufacturedOn: string | null;
  readonly certificateNumber: string | null;
}

const quantity = decimal.refine((text) => !text.startsWith('-'), 'must not be negative');
const quantityCell = decimalCell(quantity);
const noteNumber = shortText.min(1).max(60);
const certificate = shortText.min(1).max(120);

export const RECEIPT_SHAPE: FileShape<keyof ReceiptCells> = {
  noun: 'receipts',
  columns: [
    {
      name: 'order_code',
      field: 'orderCode',
      isRequired: true,
      read: textCell(shortText.min(1).max(100)),
    },
    { name: 'note_number', field: 'noteNumber', isRequired: true, read: textCell(noteNumber) },
    { name: 'dispatched_on', field: 'dispatchedOn', isRequired: true, read: readDate },
    { name: 'received_on', field: 'receivedOn', isRequired: true, read: readDate },
    { name: 'store_code', field: 'storeCode', isRequired: true, read: textCell(code) },
    { name: 'material_code', field: 'materialCode', isRequired: true, read: textCell(code) },
    { name: 'dispatched', field: 'dispatched', isRequired: true, read: quantityCell },
    { name: 'good', field: 'good', isRequired: true, read: quantityCell },
    { name: 'damaged', field: 'damaged', read: quantityCell },
    { name: 'missing', field: 'missing', read: quantityCell },
    { name: 'excess', field: 'excess', read: quantityCell },
    { name: 'lot_code', field: 'lotCode', read: textCell(code) },
    { name: 'manufactured_on', field: 'manufacturedOn', read: readDate },
    {
      name: 'certificate_number',
      field: 'certificateNumber',
      read: textCell(certificate),
    },
  ],
  synonyms: {
    order: 'order_code',
    purchase_order: 'order_code',
    note: 'note_number',
    delivery_note: 'note_number',
    waybill: 'note_number',
    sent_on: 'dispatched_on',
    date: 'received_on',
    store: 'store_code',
    material: 'material_code',
    item: 'material_code',
    sent: 'dispatched',
    received: 'good',
    lot: 'lot_code',
    batch: 'lot_code',
    certificate: 'certificate_number',
  },
};
