import {
  type Material,
  type MaterialPatch,
  type NewMaterial,
  SHELF_LIFE_NEEDS_LOTS,
  shelfLifeIsDated,
} from '../../../shared/contract/material.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent, ruleBroken } from '../../domain/errors.ts';

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
    async guardEdit(tx, id, patch) {
      const current = await store.get(tx, id);
      refuseUndatedShelfLife(
        patch.shelfLifeDays === undefined ? current.shelfLifeDays : patch.shelfLifeDays,
        patch.lotIdentity ?? current.lotIdentity,
      );
      const { unitCode = current.unitCode } = patch;
      if (current.unitCode === unitCode || !(await store.isCounted(tx, id))) return;
      throw ruleBroken(
        'material-unit-fixed',
        `${current.code} is counted in ${current.unitCode} by offers, bills or stock; make a new material to count it in ${unitCode}.`,
      );
    },
  };
}

function refuseUndatedShelfLife(
  shelfLifeDays: number | null,
  lotIdentity: Material['lotIdentity'],
): void {
  if (shelfLifeIsDated(shelfLifeDays, lotIdentity)) return;
  throw invalidContent([
    {
      pointer: '/shelfLifeDays',
      code: 'lots.undated',
      message: SHELF_LIFE_NEEDS_LOTS,
      rejectedValue: shelfLifeDays,
    },
  ]);
}
