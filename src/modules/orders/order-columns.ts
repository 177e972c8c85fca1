import { type PackCode, unitName } from '../../../shared/units/unit-codes.ts';
import type { Column } from '../../http/table-export.ts';
import type { OrderTableLine } from './line-repository.ts';

/** Columns of the files of orders, one row a line. */
export const ORDER_COLUMNS: readonly Column<OrderTableLine>[] = [
  { header: 'order', value: ({ orderCode }) => orderCode },
  { header: 'status', value: ({ status }) => status },
  { header: 'supplier_code', value: ({ supplierCode }) => supplierCode },
  { header: 'supplier', value: ({ supplierName }) => supplierName },
  { header: 'village_code', value: ({ villageCode }) => villageCode },
  { header: 'village', value: ({ villageName }) => villageName },
  { header: 'placed_on', value: ({ placedOn }) => placedOn },
  { header: 'needed_by', value: ({ neededBy }) => neededBy },
  { header: 'expected_on', value: ({ expectedOn }) => expectedOn },
  { header: 'material_code', value: ({ materialCode }) => materialCode },
  { header: 'material', value: ({ materialName }) => materialName },
  { header: 'unit_code', value: ({ unitCode }) => unitCode },
  { header: 'need_quantity', value: ({ needQuantity }) => needQuantity, isNumber: true },
  { header: 'pack_code', value: ({ packCode }) => packCode },
  { header: 'pack', value: ({ packCode }) => unitName(packCode as PackCode) },
  { header: 'pack_content', value: ({ packContent }) => packContent, isNumber: true },
  { header: 'pack_count', value: ({ packCount }) => packCount },
  { header: 'ordered_quantity', value: ({ orderedQuantity }) => orderedQuantity, isNumber: true },
  {
    header: 'received_quantity',
    value: ({ receivedQuantity }) => receivedQuantity,
    isNumber: true,
  },
  { header: 'price_per_pack', value: ({ pricePerPack }) => pricePerPack, isNumber: true },
  { header: 'amount', value: ({ amount }) => amount, isNumber: true },
  { header: 'currency', value: ({ currency }) => currency },
];
