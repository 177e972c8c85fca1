import type { ProblemBody } from '../../../shared/contract/problem.ts';
import type {
  ChangeNoun,
  Changes,
  SyncBatch,
  SyncResult,
  SyncResults,
} from '../../../shared/contract/sync.ts';
import type { Tx } from '../../db/database.ts';
import { invalidContent } from '../../domain/errors.ts';
import type { Permission } from '../../domain/permissions.ts';
import { openCursor, sealCursor } from '../../http/page.ts';
import { refuseUnclearBatch } from './operations.ts';
import { highestTransaction, listChanges, placeOfNow } from './repository.ts';

/** What a single route answered to one operation. */
export interface OperationAnswer {
  readonly status: number;
  readonly isReplay: boolean;
  readonly body: unknown;
}

export type SendOperation = (
  operation: SyncBatch['operations'][number],
) => Promise<OperationAnswer>;

/**
 * Sends the operations of a batch one after the other to their own routes. One that fails stops none
 * but those that name it as what they depend on.
 */
export async function runBatch(batch: SyncBatch, send: SendOperation): Promise<SyncResults> {
  refuseUnclearBatch(batch);
  const results: SyncResult[] = [];
  const done = new Set<string>();
  for (const operation of batch.operations) {
    const { key, after } = operation;
    if (after !== undefined && !done.has(after)) {
      results.push({ key, outcome: 'not-tried', status: null, body: null, problem: null });
      continue;
    }
    const { status, isReplay, body } = await send(operation);
    if (status < 400) {
      done.add(key);
      const outcome = isReplay ? 'done-before' : 'done';
      results.push({ key, outcome, status, body: body as SyncResult['body'], problem: null });
    } else {
      const problem = body as ProblemBody;
      results.push({ key, outcome: 'refused', status, body: null, problem });
    }
  }
  return { results };
}

/** Who may read a record may hear that it changed. */
const PERMISSION_OF: Readonly<Record<ChangeNoun, Permission>> = {
  build: 'builds:read',
  'stage-record': 'builds:read',
  inspection: 'inspections:read',
  'corrective-action': 'inspections:read',
  attachment: 'attachments:read',
  crew: 'programmes:read',
  store: 'places:read',
  material: 'materials:read',
  'stock-entry': 'stock:read',
};

export interface ChangesQuery {
  readonly after?: string | undefined;
  readonly from?: 'now' | undefined;
  readonly limit: number;
}

/** What changed after a cursor, in an order in which nothing can appear behind the reader later. */
export async function changesAfter(tx: Tx, { after, from, limit }: ChangesQuery): Promise<Changes> {
  const nouns = (Object.keys(PERMISSION_OF) as ChangeNoun[]).filter((noun) =>
    tx.actor.permissions.has(PERMISSION_OF[noun]),
  );
  const list = `/changes?${nouns.join()}`;
  if (from === 'now') {
    if (after !== undefined) throw oneStartOnly();
    const next = sealCursor(tx.actor, list, await placeOfNow(tx));
    return { items: [], next, hasMore: false };
  }
  const key = after === undefined ? ['0', '0'] : openAfter(tx, list, after);
  if (after !== undefined) await refuseForeignTime(tx, key, after);
  const rows = await listChanges(tx, nouns, key, limit + 1);
  const shown = rows.slice(0, limit);
  const last = shown.at(-1);
  return {
    items: shown.map(({ noun, record_id, build_id, version, changed_at }) => ({
      noun,
      id: record_id,
      buildId: build_id,
      version,
      changedAt: changed_at,
    })),
    next: last
      ? sealCursor(tx.actor, list, [last.transaction_number, last.position])
      : (after ?? null),
    hasMore: rows.length > limit,
  };
}

function openAfter(tx: Tx, list: string, after: string): string[] {
  try {
    return openCursor(tx.actor, list, after);
  } catch (cause) {
    throw unknownPlace(after, cause);
  }
}

/** A database brought back from a copy may have counted less far than the reader has read. */
async function refuseForeignTime(tx: Tx, [number = '0']: string[], after: string): Promise<void> {
  if (BigInt(number) > (await highestTransaction(tx))) throw unknownPlace(after);
}

const oneStartOnly = () =>
  invalidContent([
    {
      pointer: '/from',
      code: 'from.with-after',
      message: 'does not go with after',
      rejectedValue: 'now',
    },
  ]);

const unknownPlace = (after: string, cause?: unknown) => {
  const refusal = invalidContent([
    {
      pointer: '/after',
      code: 'cursor.foreign',
      message: 'is no place in this list, for you, as it is now; read from the start',
      rejectedValue: after,
    },
  ]);
  if (cause !== undefined) refusal.cause = cause;
  return refusal;
};
