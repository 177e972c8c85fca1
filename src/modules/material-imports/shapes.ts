import type { MaterialImportKind } from '../../../shared/contract/material-import.ts';
import type { RowCheck } from '../../imports/check-file.ts';
import type { FileShape } from '../../imports/column.ts';
import { checkPriceRow, PRICE_LIST_SHAPE } from './price-list-columns.ts';
import { RECEIPT_SHAPE } from './receipt-columns.ts';
import { STOCK_COUNT_SHAPE } from './stock-count-columns.ts';

const nothingMore: RowCheck = () => [];

/** The columns of each kind of file. */
export const SHAPES: Readonly<Record<MaterialImportKind, FileShape>> = {
  'price-list': PRICE_LIST_SHAPE,
  'stock-count': STOCK_COUNT_SHAPE,
  receipt: RECEIPT_SHAPE,
};

/** What the cells of a row must keep together. */
export const ROW_CHECKS: Readonly<Record<MaterialImportKind, RowCheck>> = {
  'price-list': checkPriceRow,
  'stock-count': nothingMore,
  receipt: nothingMore,
};
