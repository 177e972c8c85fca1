import { code, decimal, shortText } from '../../../shared/contract/values.ts';
import { decimalCell, type FileShape, textCell } from '../../imports/column.ts';
import { readDate } from '../../workers/tables/cell-values.ts';

/** What a row of a count sheet says. */
export interface StockCountCells {
  readonly storeCode: string;
  readonly materialCode: string;
  /** `-` names the stock that has no lot. */
  readonly lotCode: string | null;
  readonly countedQuantity: string;
  readonly observedOn: string;
  readonly reason: string | null;
}

export const NO_LOT = '-';

const notNegative = decimal.refine((text) => !text.startsWith('-'), 'must not be negative');
const lotCell = (cell: string) => (cell === NO_LOT ? { value: NO_LOT } : textCell(code)(cell));

export const STOCK_COUNT_SHAPE: FileShape<keyof StockCountCells> = {
  noun: 'count sheets',
  columns: [
    { name: 'store_code', field: 'storeCode', isRequired: true, read: textCell(code) },
    { name: 'material_code', field: 'materialCode', isRequired: true, read: textCell(code) },
    { name: 'lot_code', field: 'lotCode', read: lotCell },
    {
      name: 'counted_quantity',
      field: 'countedQuantity',
      isRequired: true,
      read: decimalCell(notNegative),
    },
    { name: 'observed_on', field: 'observedOn', isRequired: true, read: readDate },
    { name: 'reason', field: 'reason', read: textCell(shortText) },
  ],
  synonyms: {
    store: 'store_code',
    material: 'material_code',
    item: 'material_code',
    lot: 'lot_code',
    batch: 'lot_code',
    counted: 'counted_quantity',
    quantity: 'counted_quantity',
    date: 'observed_on',
    counted_on: 'observed_on',
    remarks: 'reason',
  },
};
