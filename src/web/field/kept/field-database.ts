import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { OutboxItem, WaitingPhoto } from '../outbox/outbox-item.ts';

/** What the phone holds: copies of what the service said, and what waits to be sent. */
interface FieldSchema extends DBSchema {
  copies: { key: string; value: unknown };
  outbox: {
    key: number;
    value: OutboxItem;
    indexes: { 'by-record': string };
  };
  photos: { key: string; value: WaitingPhoto; indexes: { 'by-record': string } };
}

export type FieldDatabase = IDBPDatabase<FieldSchema>;

const NAME = 'hoopwright-field';
const VERSION = 1;

let opened: Promise<FieldDatabase> | undefined;

/** Opens the phone's own database; one connection serves the page. */
export function fieldDatabase(): Promise<FieldDatabase> {
  opened ??= openDB<FieldSchema>(NAME, VERSION, {
    upgrade(database) {
      database.createObjectStore('copies');
      const outbox = database.createObjectStore('outbox', {
        keyPath: 'position',
        autoIncrement: true,
      });
      outbox.createIndex('by-record', 'recordId');
      const photos = database.createObjectStore('photos', { keyPath: 'id' });
      photos.createIndex('by-record', 'recordId');
    },
    terminated() {
      opened = undefined;
    },
  });
  return opened;
}
