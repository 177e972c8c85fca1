import { computed, signal } from '@preact/signals';
import { v7 as uuidv7 } from 'uuid';
import { fieldDatabase } from '../kept/field-database.ts';
import { owner } from '../kept/owner.ts';
import type { NewItem, OutboxItem, Refused, WaitingPhoto } from './outbox-item.ts';

/** Sent records that stay to be looked at; the oldest go first. */
const SENT_KEPT = 200;

/** What the phone holds to be sent, was sent or was refused, in the order of making. */
export const items = signal<readonly OutboxItem[]>([]);
export const photos = signal<readonly WaitingPhoto[]>([]);

export const waitingCount = computed(
  () =>
    items.value.filter(({ state }) => state === 'waiting').length +
    photos.value.filter(({ problem }) => problem === null).length,
);
export const refusedCount = computed(
  () =>
    items.value.filter(({ state }) => state === 'refused').length +
    photos.value.filter(({ problem }) => problem !== null).length,
);

/** Reads the outbox again: at the start, and after another tab or the sender wrote. */
export async function readOutbox(): Promise<void> {
  const database = await fieldDatabase();
  const [kept, pictures] = await Promise.all([
    database.getAll('outbox'),
    database.getAll('photos'),
  ]);
  items.value = kept;
  photos.value = pictures;
}

const CHANNEL = 'hoopwright-outbox';
const channel = new BroadcastChannel(CHANNEL);
channel.addEventListener('message', () => void readOutbox());

async function changed(): Promise<void> {
  channel.postMessage('changed');
  await readOutbox();
}

/** The phone has no room: the record was not kept, and nothing kept before it is touched. */
export class NoRoom extends Error {
  constructor(cause: unknown) {
    super('no room', { cause });
    this.name = 'NoRoom';
  }
}

export type NewPhoto = Pick<WaitingPhoto, 'blob' | 'caption' | 'noun'>;

/**
 * Keeps records with their photos: all of them, or none. When it returns they are on the disk of
 * the phone, so that a crash in the next moment loses nothing.
 *
 * @throws {NoRoom} when the phone is full
 */
export async function keep(
  records: readonly NewItem[],
  pictures: readonly NewPhoto[] = [],
): Promise<void> {
  const by = owner.value;
  const [first] = records;
  if (!by || !first) throw new Error('nobody has signed in on this phone');
  const database = await fieldDatabase();
  const transaction = database.transaction(['outbox', 'photos'], 'readwrite', {
    durability: 'strict',
  });
  try {
    for (const record of records) {
      const item: Omit<OutboxItem, 'position'> = {
        ...record,
        key: record.recordId,
        personId: by.person.id,
        personName: by.person.name,
        madeAt: new Date().toISOString(),
        state: 'waiting',
        sentAt: null,
        problem: null,
      };
      await transaction.objectStore('outbox').add(item as OutboxItem);
    }
    for (const picture of pictures) {
      await transaction.objectStore('photos').add({
        ...picture,
        id: uuidv7(),
        recordId: first.recordId,
        takenOn: first.observedOn,
        personId: by.person.id,
        problem: null,
      });
    }
    await transaction.done;
  } catch (error) {
    await transaction.done.catch(() => undefined);
    throw isFull(error) || isFull(transaction.error) ? new NoRoom(error) : error;
  }
  await changed();
}

const isFull = (error: unknown) =>
  error instanceof DOMException && error.name === 'QuotaExceededError';

/** Notes what the service said to one record. */
export async function settle(position: number, problem: Refused | null): Promise<void> {
  const database = await fieldDatabase();
  const transaction = database.transaction('outbox', 'readwrite');
  const item = await transaction.store.get(position);
  if (item) {
    await transaction.store.put({
      ...item,
      state: problem ? 'refused' : 'sent',
      problem,
      sentAt: problem ? null : new Date().toISOString(),
    });
  }
  await transaction.done;
}

/** Notes that a photo arrived, or why it did not. */
export async function settlePhoto(id: string, problem: Refused | null): Promise<void> {
  const database = await fieldDatabase();
  const photo = await database.get('photos', id);
  if (!photo) return;
  if (problem) await database.put('photos', { ...photo, problem });
  else await database.delete('photos', id);
}

/** Drops the oldest of the sent records beyond those that stay. */
export async function pruneSent(): Promise<void> {
  const database = await fieldDatabase();
  const sent = (await database.getAll('outbox')).filter(({ state }) => state === 'sent');
  const pictures = new Set((await database.getAll('photos')).map(({ recordId }) => recordId));
  const old = sent.slice(0, Math.max(0, sent.length - SENT_KEPT));
  for (const { position, recordId } of old) {
    if (!pictures.has(recordId)) await database.delete('outbox', position);
  }
  await changed();
}

/** Lets a refused record be tried again, under a new key: its first answer was a refusal. */
export async function tryAgain({ position }: OutboxItem): Promise<void> {
  const database = await fieldDatabase();
  const item = await database.get('outbox', position);
  if (item?.state === 'refused') {
    await database.put('outbox', { ...item, key: uuidv7(), state: 'waiting', problem: null });
  }
  await changed();
}

export async function tryPhotoAgain({ id }: WaitingPhoto): Promise<void> {
  const database = await fieldDatabase();
  const photo = await database.get('photos', id);
  if (photo) await database.put('photos', { ...photo, problem: null });
  await changed();
}

/** Takes a record that was refused off the phone, with its photos, because the person says so. */
export async function discard({ position, recordId }: OutboxItem): Promise<void> {
  const database = await fieldDatabase();
  const transaction = database.transaction(['outbox', 'photos'], 'readwrite');
  await transaction.objectStore('outbox').delete(position);
  const index = transaction.objectStore('photos').index('by-record');
  for (const id of await index.getAllKeys(recordId)) {
    await transaction.objectStore('photos').delete(id);
  }
  await transaction.done;
  await changed();
}

export async function discardPhoto({ id }: WaitingPhoto): Promise<void> {
  await (await fieldDatabase()).delete('photos', id);
  await changed();
}

/** Takes everything off the phone: copies, and what was never sent. The person was asked twice. */
export async function wipe(): Promise<void> {
  const database = await fieldDatabase();
  const transaction = database.transaction(['copies', 'outbox', 'photos'], 'readwrite');
  await Promise.all([
    transaction.objectStore('copies').clear(),
    transaction.objectStore('outbox').clear(),
    transaction.objectStore('photos').clear(),
  ]);
  await transaction.done;
  owner.value = null;
  await changed();
}
