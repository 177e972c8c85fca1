import type { Tx } from '../db/database.ts';
import type { RecordStore } from '../db/document-store.ts';
import type { Clock } from './clock.ts';
import { ruleBroken } from './errors.ts';

interface Withdrawable {
  readonly id: string;
  readonly withdrawnOn: string | null;
}

/** Terms that are never changed: they end, or are withdrawn and followed by others. */
export interface WithdrawableStore<Wire extends Withdrawable, New> extends RecordStore<Wire, New> {
  /** False when they were withdrawn before. */
  withdraw(tx: Tx, id: string, withdrawnOn: string): Promise<boolean>;
}

/** Withdraws terms from a day on, once. */
export async function withdrawOnce<Wire extends Withdrawable, New>(
  tx: Tx,
  store: WithdrawableStore<Wire, New>,
  clock: Clock,
  id: string,
  day: string | undefined,
): Promise<Wire> {
  const withdrawnOn = day ?? clock.today();
  const found = await store.get(tx, id);
  if (found.withdrawnOn !== null || !(await store.withdraw(tx, id, withdrawnOn))) {
    throw ruleBroken(
      `${store.noun.replaceAll(' ', '-')}-withdrawn-once`,
      `The ${store.noun} was withdrawn on ${found.withdrawnOn ?? 'this day'} already.`,
    );
  }
  await tx.audit('withdraw', store.noun, id, { withdrawnOn });
  return { ...found, withdrawnOn };
}
