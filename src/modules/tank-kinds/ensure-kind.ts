import { v7 as uuidv7 } from 'uuid';
import type { TankKind } from '../../../shared/contract/tank-kind.ts';
import type { Tx } from '../../db/database.ts';
import { tankKindStore } from './repository.ts';
import { bambooBandMortarKind } from './use-cases.ts';

/** The bamboo-band-mortar kind of the organisation, made when there is none yet. */
export function ensureBambooBandMortarKind(tx: Tx): Promise<TankKind> {
  return tankKindStore.ensure(tx, uuidv7(), bambooBandMortarKind());
}
