import type {
  NewVillage,
  Village,
  VillagePatch,
  VillageRoad,
} from '../../../shared/contract/village.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent } from '../../domain/errors.ts';

export interface VillageStore extends DocumentStore<Village, NewVillage, VillagePatch> {
  knownStoreIds(tx: Tx, storeIds: readonly string[]): Promise<ReadonlySet<string>>;
}

export interface Villages {
  readonly store: VillageStore;
  guardCreate(tx: Tx, input: NewVillage): Promise<void>;
  guardEdit(tx: Tx, id: string, patch: VillagePatch): Promise<void>;
}

export function createVillages(store: VillageStore): Villages {
  async function requireKnownStores(tx: Tx, roads: readonly VillageRoad[] = []) {
    if (roads.length === 0) return;
    const known = await store.knownStoreIds(
      tx,
      roads.map(({ storeId }) => storeId),
    );
    const errors = roads.flatMap(({ storeId }, index) =>
      known.has(storeId)
        ? []
        : [
            {
              pointer: `/roads/${index}/storeId`,
              code: 'reference.unknown',
              message: 'names a store that does not exist',
              rejectedValue: storeId,
            },
          ],
    );
    if (errors.length > 0) throw invalidContent(errors);
  }
  return {
    store,
    guardCreate: (tx, { roads }) => requireKnownStores(tx, roads),
    guardEdit: (tx, _id, { roads }) => requireKnownStores(tx, roads),
  };
}
