import type {
  NewProgramme,
  Programme,
  ProgrammePatch,
} from '../../../shared/contract/programme.ts';
import type { Tx } from '../../db/database.ts';
import type { DocumentStore } from '../../db/document-store.ts';
import { invalidContent } from '../../domain/errors.ts';

export interface Programmes {
  readonly store: DocumentStore<Programme, NewProgramme, ProgrammePatch>;
  guardEdit(tx: Tx, id: string, patch: ProgrammePatch): Promise<void>;
}

export function createProgrammes(store: Programmes['store']): Programmes {
  return {
    store,
    async guardEdit(tx, id, patch) {
      const current = await store.get(tx, id);
      const startsOn = patch.startsOn ?? current.startsOn;
      const endsOn = patch.endsOn ?? current.endsOn;
      if (endsOn < startsOn) {
        throw invalidContent([
          {
            pointer: '/endsOn',
            code: 'dates.out-of-order',
            message: `must not be before startsOn ${startsOn}`,
            rejectedValue: endsOn,
          },
        ]);
      }
    },
  };
}
