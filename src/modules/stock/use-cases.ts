import { v7 as uuidv7 } from 'uuid';
import type {
  NewStockEntry,
  NewStockTransfer,
  StockEntry,
  StockTransfer,
} from '../../../shared/contract/stock.ts';
import { subtractQuantities, sumQuantities } from '../../../shared/takeoff/quantity.ts';
import type { Tx } from '../../db/database.ts';
import type { Clock } from '../../domain/clock.ts';
import { invalidContent, notFound } from '../../domain/errors.ts';
import { refuseFutureDate } from '../../domain/not-in-future.ts';
import { settleOrderStatus } from './order-receipts.ts';
import {
  findEntry,
  insertEntry,
  listBalances,
  listEntries,
  lockBalance,
  type StockPosting,
} from './repository.ts';
import {
  requireBuildAtWork,
  requireInStock,
  requireIssuedBefore,
  requireOrdered,
  requireStockedMaterial,
  requireStore,
} from './stock-rules.ts';

export interface Stock {
  record(tx: Tx, input: NewStockEntry): Promise<StockEntry>;
  transfer(tx: Tx, input: NewStockTransfer): Promise<StockTransfer>;
  get(tx: Tx, id: string): Promise<StockEntry>;
  readonly listEntries: typeof listEntries;
  readonly listBalances: typeof listBalances;
}

/** The stock ledger: entries are only ever added, and no balance falls below zero. */
export function createStock(clock: Clock): Stock {
  return {
    listEntries,
    listBalances,
    async get(tx, id) {
      const entry = await findEntry(tx, id);
      if (!entry) throw notFound('stock entry', id);
      return entry;
    },
    async record(tx, input) {
      const { storeId, materialId } = input;
      refuseFutureDate(clock, '/observedOn', input.observedOn);
      const material = await requireStockedMaterial(tx, materialId);
      const storeCode = await requireStore(tx, storeId, '/storeId');
      const orderId = await requireSource(tx, input);
      const balance = await lockBalance(tx, storeId, materialId);
      const quantity = signedQuantity(input, balance);
      requireInStock({ balance, quantity, material, materialId, storeId, storeCode });
      const entry = await insertEntry(tx, {
        ...input,
        id: input.id ?? uuidv7(),
        quantity,
        unitCode: material.unit_code,
        reason: reasonOf(input, quantity),
      });
      const orderStatus = orderId && (await settleOrderStatus(tx, orderId));
      await tx.audit('record', 'stock entry', entry.id, {
        ...input,
        ...(orderStatus ? { orderStatus } : {}),
      });
      return entry;
    },
    async transfer(tx, input) {
      const { id = uuidv7(), fromStoreId, toStoreId, materialId, quantity } = input;
      refuseFutureDate(clock, '/observedOn', input.observedOn);
      const material = await requireStockedMaterial(tx, materialId);
      const storeCode = await requireStore(tx, fromStoreId, '/fromStoreId');
      await requireStore(tx, toStoreId, '/toStoreId');
      // Always in the same order, so that two opposite transfers do not wait for each other.
      const balances = new Map<string, string>();
      for (const storeId of [fromStoreId, toStoreId].sort()) {
        balances.set(storeId, await lockBalance(tx, storeId, materialId));
      }
      const taken = subtractQuantities('0', quantity);
      const balance = balances.get(fromStoreId) ?? '0';
      requireInStock({
        balance,
        quantity: taken,
        material,
        materialId,
        storeId: fromStoreId,
        storeCode,
      });
      const shared = {
        materialId,
        unitCode: material.unit_code,
        observedOn: input.observedOn,
        transferId: id,
        documentNumber: input.documentNumber,
        reason: input.reason,
      };
      const legs: readonly StockPosting[] = [
        {
          ...shared,
          id: uuidv7(),
          kind: 'transfer-out',
          storeId: fromStoreId,
          counterpartStoreId: toStoreId,
          quantity: taken,
        },
        {
          ...shared,
          id: uuidv7(),
          kind: 'transfer-in',
          storeId: toStoreId,
          counterpartStoreId: fromStoreId,
          quantity,
        },
      ];
      const entries: StockEntry[] = [];
      for (const leg of legs) entries.push(await insertEntry(tx, leg));
      await tx.audit('transfer', 'stock entry', id, input);
      return { id, entries };
    },
  };
}

/** Checks where the quantity comes from or goes to. Returns the order that a receipt belongs to. */
async function requireSource(tx: Tx, input: NewStockEntry): Promise<string | null> {
  switch (input.kind) {
    case 'receive':
      if (input.orderLineId === undefined) return null;
      return requireOrdered(tx, { ...input, orderLineId: input.orderLineId });
    case 'issue':
      await requireBuildAtWork(tx, input.buildId);
      return null;
    case 'return':
      await requireIssuedBefore(tx, input);
      return null;
    default:
      return null;
  }
}

function signedQuantity(input: NewStockEntry, balance: string): string {
  switch (input.kind) {
    case 'receive':
    case 'return':
      return sumQuantities([input.quantity]);
    case 'issue':
    case 'write-off':
      return subtractQuantities('0', input.quantity);
    case 'count':
      return subtractQuantities(input.countedQuantity, balance);
  }
}

function reasonOf(input: NewStockEntry, quantity: string): string {
  switch (input.kind) {
    case 'receive':
      return input.excessReason ?? '';
    case 'issue':
      return '';
    case 'count':
      if (quantity !== '0' && input.reason === '') {
        throw invalidContent([
          {
            pointer: '/reason',
            code: 'reason.missing',
            message: `the count differs from the balance by ${quantity}; say why`,
          },
        ]);
      }
      return input.reason;
    default:
      return input.reason;
  }
}
