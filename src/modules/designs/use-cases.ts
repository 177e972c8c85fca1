import type {
  NewTankDesign,
  TankDesign,
  TankDesignPatch,
} from '../../../shared/contract/tank-design.ts';
import type { TankKind } from '../../../shared/contract/tank-kind.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { ruleBroken } from '../../domain/errors.ts';

export interface TankDesignStore extends DocumentStore<TankDesign, NewTankDesign, TankDesignPatch> {
  /** Number of the newest revision, 0 without any; the design stays locked. */
  lastRevisionNumber(tx: Tx, id: string): Promise<number>;
  /** Recipe of the design's kind; null when there is no such design. */
  recipe(tx: Tx, id: string): Promise<TankKind['recipe'] | null>;
}

export interface TankDesigns {
  readonly store: TankDesignStore;
  guardEdit(tx: Tx, id: string, patch: TankDesignPatch): Promise<void>;
}

export function createTankDesigns(store: TankDesignStore): TankDesigns {
  return {
    store,
    async guardEdit(tx, id, { tankKindId }) {
      if (tankKindId === undefined) return;
      const current = await store.get(tx, id);
      if (current.tankKindId === tankKindId) return;
      if ((await store.lastRevisionNumber(tx, id)) === 0) return;
      throw ruleBroken(
        'design-has-revisions',
        'The revisions of this design were worked out for its kind; make another design for another kind.',
      );
    },
  };
}
