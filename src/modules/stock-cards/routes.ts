import { z } from 'zod';
import { byId, id } from '../../../shared/contract/values.ts';
import type { Routes } from '../../http/route.ts';
import { type Column, CSV_TYPE, csvTable, XLSX_TYPE, xlsxTable } from '../../http/table-export.ts';
import type { CardLine, StockCard, StockCards } from './use-cases.ts';

const COLUMNS: readonly Column<CardLine>[] = [
  { header: 'date', value: (line) => line.observedOn },
  { header: 'entry', value: (line) => line.kind },
  { header: 'document_number', value: (line) => line.documentNumber },
  { header: 'lot', value: (line) => line.lotCode },
  { header: 'lot_manufactured_on', value: (line) => line.manufacturedOn },
  { header: 'lot_certificate', value: (line) => line.certificateNumber },
  { header: 'build_or_store', value: (line) => line.counterpart },
  { header: 'stage', value: (line) => line.stageCode },
  { header: 'in', value: (line) => line.inQuantity, isNumber: true },
  { header: 'out', value: (line) => line.outQuantity, isNumber: true },
  { header: 'unit', value: (line) => line.unitCode },
  { header: 'balance', value: (line) => line.balance, isNumber: true },
  { header: 'lot_balance', value: (line) => line.lotBalance, isNumber: true },
  { header: 'reason', value: (line) => line.reason },
  { header: 'recorded_by_id', value: (line) => line.recordedById },
  { header: 'recorded_at', value: (line) => line.recordedAt },
];

const query = z.strictObject({ materialId: id });

const nameOf = ({ storeCode, materialCode }: StockCard, ending: string) =>
  `stock-card-${storeCode}-${materialCode}${ending}`.replaceAll('/', '-');

/** Stock cards: the entries of one material in one store with the running balance, to keep or print. */
export function stockCardRoutes(routes: Routes, cards: StockCards): void {
  routes.download({
    method: 'GET',
    url: '/stores/:id/stock-card.csv',
    operationId: 'downloadStockCardCsv',
    tag: 'Stock',
    summary: 'Download the stock card of a material in a store as CSV',
    permission: 'stock:read',
    params: byId,
    query,
    mediaTypes: [CSV_TYPE],
    async handle(tx, { params, query: { materialId } }) {
      const card = await cards.card(tx, params.id, materialId);
      return csvTable(nameOf(card, '.csv'), COLUMNS, card.lines);
    },
  });
  routes.download({
    method: 'GET',
    url: '/stores/:id/stock-card.xlsx',
    operationId: 'downloadStockCardWorkbook',
    tag: 'Stock',
    summary: 'Download the stock card of a material in a store as a workbook',
    permission: 'stock:read',
    params: byId,
    query,
    mediaTypes: [XLSX_TYPE],
    async handle(tx, { params, query: { materialId } }) {
      const card = await cards.card(tx, params.id, materialId);
      return xlsxTable(nameOf(card, '.xlsx'), 'Stock card', COLUMNS, card.lines);
    },
  });
}
