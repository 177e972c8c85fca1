import { signal } from '@preact/signals';
import type { ProblemBody } from '../../../../shared/contract/problem.ts';
import type { StageRecordBatch } from '../../../../shared/contract/stage-record.ts';
import type { SyncResult, SyncResults } from '../../../../shared/contract/sync.ts';
import { post } from '../../api/client.ts';
import { Refusal, Unreachable } from '../../api/refusal.ts';
import { fieldDatabase } from '../kept/field-database.ts';
import { isOffline, isShutOut, owner } from '../kept/owner.ts';
import { pruneSent, readOutbox, settle, settlePhoto } from './outbox.ts';
import { type OutboxItem, type Refused, refusedBy, type WaitingPhoto } from './outbox-item.ts';

/** Operations a request: few enough that a weak connection brings the answer back. */
const BATCH_SIZE = 100;

/** How far the sending has come; null when nothing is being sent. */
export const sending = signal<{ readonly done: number; readonly total: number } | null>(null);

const LOCK = 'hoopwright-send';

/**
 * Sends what waits, in the order in which it was made, and then the photos of what arrived. Only one
 * page of the phone sends at a time. What is cut off half-way is sent again with the same keys.
 *
 * @returns true when nothing is left that a network could carry
 */
export async function sendOutbox(): Promise<boolean> {
  if (sending.value || !owner.value || isShutOut.value) return false;
  // Web Locks need a secure context; without them a second sender only repeats keys.
  if (!navigator.locks) return sendAll(owner.value.person.id);
  const personId = owner.value.person.id;
  return navigator.locks.request(LOCK, { ifAvailable: true }, (lock) =>
    lock ? sendAll(personId) : false,
  );
}

async function sendAll(personId: string): Promise<boolean> {
  const database = await fieldDatabase();
  const isMine = (each: { personId: string }) => each.personId === personId;
  const all = (await database.getAll('outbox')).filter(isMine);
  const waiting = all.filter(({ state }) => state === 'waiting');
  const pictures = (await database.getAll('photos')).filter(isMine);
  const total = waiting.length + pictures.filter(({ problem }) => !problem).length;
  if (total === 0) return true;
  sending.value = { done: 0, total };
  try {
    let held = false;
    for (let from = 0; from < waiting.length; from += BATCH_SIZE) {
      const part = waiting.slice(from, from + BATCH_SIZE);
      held = (await sendPart(part, all)) || held;
      sending.value = { done: Math.min(from + BATCH_SIZE, waiting.length), total };
      await readOutbox();
    }
    const arePhotosDone = await sendPhotos(pictures);
    await pruneSent();
    isOffline.value = false;
    return !held && arePhotosDone;
  } catch (error) {
    if (error instanceof Unreachable) isOffline.value = true;
    else if (error instanceof Refusal && error.status === 401) isShutOut.value = true;
    else if (!(error instanceof Refusal && error.problem.retryable)) throw error;
    return false;
  } finally {
    sending.value = null;
    await readOutbox();
  }
}

/** @returns true when some of it is held back until something that it stands on is settled */
async function sendPart(part: readonly OutboxItem[], all: readonly OutboxItem[]): Promise<boolean> {
  const stateOf = new Map(all.map((item) => [item.recordId, item]));
  const keys = new Map<string, string>();
  const operations = [];
  const sent: OutboxItem[] = [];
  let isHeld = false;
  for (const item of part) {
    const { key, recordId, afterRecordId, path, body } = item;
    const ground = afterRecordId === undefined ? undefined : stateOf.get(afterRecordId);
    const isInBatch = afterRecordId !== undefined && keys.has(afterRecordId);
    if (ground && ground.state !== 'sent' && !isInBatch) {
      const now = await (await fieldDatabase()).get('outbox', ground.position);
      if (now && now.state !== 'sent') {
        isHeld = true;
        continue;
      }
    }
    const after = afterRecordId === undefined ? undefined : keys.get(afterRecordId);
    operations.push({ key, method: 'POST', path, body, ...(after ? { after } : {}) });
    keys.set(recordId, key);
    sent.push(item);
  }
  if (operations.length === 0) return isHeld;
  const { results } = (await post<SyncResults>('/sync/batch', { operations })).body;
  for (const [index, result] of results.entries()) {
    const item = sent[index];
    if (!item || result.outcome === 'not-tried') continue;
    const problem = problemOf(result);
    if (problem === 'later') isHeld = true;
    else await settle(item.position, problem);
  }
  return isHeld;
}

/** What stands against a record; null: it arrived; `later`: the service asks to be asked again. */
function problemOf({ outcome, body, problem }: SyncResult): Refused | 'later' | null {
  if (outcome === 'refused') {
    if (!problem) return 'later';
    if (problem.status === 401) throw new Refusal(problem as ProblemBody);
    return problem.retryable ? 'later' : refusedBy(problem as ProblemBody);
  }
  const [told] = (body as Partial<StageRecordBatch> | null)?.outcomes ?? [];
  if (told?.outcome !== 'refused') return null;
  return { title: '', detail: told.detail ?? '', code: told.rule ?? '', errors: [] };
}

async function sendPhotos(pictures: readonly WaitingPhoto[]): Promise<boolean> {
  const database = await fieldDatabase();
  let isDone = true;
  for (const { id, noun, recordId, blob, caption, takenOn, problem } of pictures) {
    if (problem) continue;
    const [record] = await database.getAllFromIndex('outbox', 'by-record', recordId);
    if (record && record.state !== 'sent') {
      isDone = false;
      continue;
    }
    try {
      await post('/attachments', blob, {
        query: { id, noun, recordId, caption, takenOn, fileName: `${takenOn}.jpg` },
        idempotencyKey: id,
      });
      await settlePhoto(id, null);
    } catch (error) {
      if (!(error instanceof Refusal) || error.status === 401) throw error;
      if (error.problem.retryable) isDone = false;
      else await settlePhoto(id, refusedBy(error.problem));
    }
    const now = sending.value;
    if (now) sending.value = { ...now, done: now.done + 1 };
    await readOutbox();
  }
  return isDone;
}
