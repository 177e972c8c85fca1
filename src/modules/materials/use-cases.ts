import type { Material, MaterialPatch, NewMaterial } from '../../../shared/contract/material.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { ruleBroken } from '../../domain/errors.ts';

export interface MaterialStore extends DocumentStore<Material, NewMaterial, MaterialPatch> {
  /** Whether an offer, a bill, an order or a stock entry counts this material already. */
  isCounted(tx: Tx, id: string): Promise<boolean>;
}

export interface Materials {
  readonly store: MaterialStore;
  guardEdit(tx: Tx, id: string, patch: MaterialPatch): Promise<void>;
}

export function createMaterials(store: MaterialStore): Materials {
  return {
    store,
    async guardEdit(tx, id, { unitCode }) {
      if (unitCode === undefined) return;
      const current = await store.get(tx, id);
      if (current.unitCode === unitCode || !(await store.isCounted(tx, id))) return;
      throw ruleBroken(
        'material-unit-fixed',
        `${current.code} is counted in ${current.unitCode} by offers, bills or stock; make a new material to count it in ${unitCode}.`,
      );
    },
  };
}
