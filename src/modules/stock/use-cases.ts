import type {
  NewStockEntry,
  NewStockIssue,
  NewStockTransfer,
  StockEntry,
  StockIssue,
  StockTransfer,
} from '../../../shared/contract/stock.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { notFound } from '../../domain/errors.ts';
import type { DispatchGate } from './dispatch-gate.ts';
import { issueSlip } from './issue-slip.ts';
import { recordEntry } from './record-entry.ts';
import { findEntry, findIssue, listBalances, listEntries, listLotBalances } from './repository.ts';
import { transferStock } from './transfer-stock.ts';

export interface StockParts {
  readonly clock: Clock;
  /** Asked before materials go to a build or to a store of a village. */
  readonly gate?: DispatchGate | undefined;
  /** Told of goods of an order that came in without a receipt of their own. */
  readonly orders?: OrdersOfStock | undefined;
}

export interface OrdersOfStock {
  settle(
    tx: Tx,
    orderId: string,
    movement: { readonly occurredOn: string; readonly evidence: string },
  ): Promise<void>;
}

export interface Stock {
  record(tx: Tx, input: NewStockEntry): Promise<StockEntry>;
  transfer(tx: Tx, input: NewStockTransfer): Promise<StockTransfer>;
  issue(tx: Tx, input: NewStockIssue): Promise<StockIssue>;
  get(tx: Tx, id: string): Promise<StockEntry>;
  getIssue(tx: Tx, id: string): Promise<StockIssue>;
  readonly listEntries: typeof listEntries;
  readonly listBalances: typeof listBalances;
  listLotBalances(
    tx: Tx,
    query: Parameters<typeof listLotBalances>[2],
  ): ReturnType<typeof listLotBalances>;
}

/** The stock ledger: entries are only ever added, and no balance falls below zero. */
export function createStock(parts: StockParts): Stock {
  return {
    listEntries,
    listBalances,
    listLotBalances: (tx, query) => listLotBalances(tx, parts.clock.today(), query),
    record: (tx, input) => recordEntry(tx, parts, input),
    transfer: (tx, input) => transferStock(tx, parts, input),
    issue: (tx, input) => issueSlip(tx, parts, input),
    async get(tx, id) {
      const entry = await findEntry(tx, id);
      if (!entry) throw notFound('stock entry', id);
      return entry;
    },
    async getIssue(tx, id) {
      const entries = await findIssue(tx, id);
      const [first] = entries;
      if (!first?.buildId) throw notFound('issue slip', id);
      const { storeId, buildId, observedOn, documentNumber } = first;
      return { id, storeId, buildId, observedOn, documentNumber, entries };
    },
  };
}
