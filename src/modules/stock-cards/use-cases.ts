import type { Tx } from '../../db/database.ts';
import { DomainError, notFound } from '../../domain/errors.ts';
import { type CardLine, findCardLines, findNames } from './repository.ts';

export type { CardLine };

/** Most entries that one card shows. */
const MAX_LINES = 50_000;

export interface StockCard {
  readonly storeCode: string;
  readonly materialCode: string;
  readonly lines: readonly CardLine[];
}

export interface StockCards {
  /** All entries of a material in a store, with the running balances. */
  card(tx: Tx, storeId: string, materialId: string): Promise<StockCard>;
}

export function createStockCards(): StockCards {
  return {
    async card(tx, storeId, materialId) {
      const names = await findNames(tx, storeId, materialId);
      if (!names) throw notFound('store', storeId);
      const { storeCode, materialCode } = names;
      if (materialCode === null) throw notFound('material', materialId);
      const lines = await findCardLines(tx, storeId, materialId, MAX_LINES + 1);
      if (lines.length > MAX_LINES) {
        throw new DomainError('too-large', {
          detail: `The card has over ${MAX_LINES} entries; read them from stock-entries by page.`,
        });
      }
      return { storeCode, materialCode, lines };
    },
  };
}
