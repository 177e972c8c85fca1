import type { NewStockEntry, StockEntry } from '../../../shared/contract/stock.ts';
import { subtractQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import type { DoneRow, ImportKind } from './import-kind.ts';
import { knownCodes } from './known-codes.ts';
import { knownLots } from './known-lots.ts';
import { orRowErrors } from './row-refusal.ts';
import type { StockCountCells } from './stock-count-columns.ts';

/** What the ledger of stock does for count sheets. */
export interface CountLedger {
  record(tx: Tx, input: NewStockEntry): Promise<StockEntry>;
}

const COLUMN_OF = {
  storeId: 'store_code',
  materialId: 'material_code',
  lotId: 'lot_code',
  countedQuantity: 'counted_quantity',
  observedOn: 'observed_on',
  reason: 'reason',
};

const CELL_OF = { storeId: 'storeCode', materialId: 'materialCode', lotId: 'lotCode' };

/** Count sheets: each row sets a balance to what was counted, by the ledger's own rules. */
export function stockCountKind(ledger: CountLedger): ImportKind {
  return {
    kind: 'stock-count',
    noun: 'count sheet',
    maxRows: 2_000,
    changing: 'Balances, lots, stores or materials',
    read: 'stock:read',
    write: 'stock:write',
    async run(tx, _importId, rows, errors) {
      const stores = await knownCodes(tx, 'store');
      const materials = await knownCodes(tx, 'material');
      const lotCodes = rows
        .map(({ cells }) => cells.lotCode)
        .filter((code) => typeof code === 'string');
      const lots = await knownLots(tx, lotCodes);
      const lineByCard = new Map<string, number>();
      const done: DoneRow[] = [];
      for (const { line, cells, isGood } of rows) {
        const storeId = stores.idOf(line, cells.storeCode, errors);
        const materialId = materials.idOf(line, cells.materialCode, errors);
        const row = cells as unknown as StockCountCells;
        if (storeId === null || materialId === null) continue;
        const lotId = lots.idOf(line, materialId, row.lotCode, errors);
        if (!isGood || errors.isBad(line)) continue;
        const card = JSON.stringify([storeId, materialId, lotId ?? null]);
        const earlier = lineByCard.get(card);
        if (earlier !== undefined) {
          const hint = `is counted on line ${earlier} already`;
          errors.add(line, 'material_code', { code: 'row.duplicate', hint }, row.materialCode);
          continue;
        }
        lineByCard.set(card, line);
        const entry = await orRowErrors(
          tx,
          { line, cells, columnOf: COLUMN_OF, cellOf: CELL_OF },
          errors,
          () =>
            ledger.record(tx, {
              kind: 'count',
              storeId,
              materialId,
              countedQuantity: row.countedQuantity,
              observedOn: row.observedOn,
              documentNumber: '',
              reason: row.reason ?? '',
              ...(lotId === undefined ? {} : { lotId }),
            }),
        );
        if (entry) done.push(doneRow(line, row, entry));
      }
      return done;
    },
  };
}

function doneRow(line: number, row: StockCountCells, entry: StockEntry): DoneRow {
  const { storeCode, materialCode, lotCode, countedQuantity } = row;
  const before = subtractQuantities(countedQuantity, entry.quantity);
  const isSame = Number(entry.quantity) === 0;
  return {
    line,
    label: [storeCode, materialCode, lotCode].filter((code) => code !== null).join(' '),
    action: isSame ? 'unchanged' : 'update',
    changes: isSame ? [] : [{ field: 'quantity', from: before, to: countedQuantity }],
    touched: [entry.storeId, entry.materialId, entry.lotId, before],
  };
}
