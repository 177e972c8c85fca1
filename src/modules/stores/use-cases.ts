import type {
  NewSafetyStock,
  NewStore,
  SafetyStock,
  Store,
  StorePatch,
} from '../../../shared/contract/store.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent } from '../../domain/errors.ts';
import { knownMaterialIds, replaceSafetyStock, safetyStockOf } from './repository.ts';

export interface Stores {
  readonly store: DocumentStore<Store, NewStore, StorePatch>;
  safetyStock(tx: Tx, storeId: string): Promise<SafetyStock>;
  setSafetyStock(tx: Tx, storeId: string, input: NewSafetyStock): Promise<SafetyStock>;
}

export function createStores(store: Stores['store']): Stores {
  return {
    store,
    async safetyStock(tx, storeId) {
      await store.get(tx, storeId);
      return safetyStockOf(tx, storeId);
    },
    async setSafetyStock(tx, storeId, { items }) {
      await store.get(tx, storeId);
      await requireKnownMaterials(tx, items);
      await replaceSafetyStock(tx, storeId, items);
      await tx.audit('edit', 'safety stock', storeId, { items });
      return safetyStockOf(tx, storeId);
    },
  };
}

async function requireKnownMaterials(tx: Tx, items: NewSafetyStock['items']): Promise<void> {
  const known = await knownMaterialIds(
    tx,
    items.map(({ materialId }) => materialId),
  );
  const errors = items.flatMap(({ materialId }, index) =>
    known.has(materialId)
      ? []
      : [
          {
            pointer: `/items/${index}/materialId`,
            code: 'reference.unknown',
            message: 'names a material that does not exist',
            rejectedValue: materialId,
          },
        ],
  );
  if (errors.length > 0) throw invalidContent(errors);
}
