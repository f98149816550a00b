/** What this device keeps: acts not sent yet, the chosen store's casks, and who was signed in. */
import type { AisleSnapshot } from '@rundlet/contracts';
import type { OutboxItem } from '@rundlet/client';
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';

interface Schema extends DBSchema {
  outbox: { key: string; value: OutboxItem; indexes: { sequence: number } };
  snapshots: { key: string; value: AisleSnapshot };
  /** What was counted here, each under its stock-take, so that a count goes on after days or a dead battery. */
  counted: { key: string; value: CountedHere; indexes: { stocktakeId: string } };
  /** Single values by name: session, device, chosen store, last sequence. */
  kept: { key: string; value: unknown };
}
export interface CountedHere {
  readonly id: string;
  readonly stocktakeId: string;
  readonly at: string;
}
export type Database = IDBPDatabase<Schema>;

let opened: Promise<Database> | undefined;

export function database(): Promise<Database> {
  opened ??= openDB<Schema>('rundlet', 2, {
    upgrade(db, from) {
      if (from < 1) {
        db.createObjectStore('outbox', { keyPath: 'id' }).createIndex('sequence', 'sequence');
        db.createObjectStore('snapshots', { keyPath: 'store.id' });
        db.createObjectStore('kept');
      }
      db.createObjectStore('counted', { keyPath: 'id' }).createIndex('stocktakeId', 'stocktakeId');
    },
    terminated() {
      opened = undefined;
    },
  });
  return opened;
}

/** A kept value, or undefined. A browser that refuses storage answers undefined: the page then works online only. */
export async function kept<T>(name: string): Promise<T | undefined> {
  try {
    return (await (await database()).get('kept', name)) as T | undefined;
  } catch {
    return undefined;
  }
}

export async function keep(name: string, value: unknown): Promise<void> {
  try {
    await (await database()).put('kept', value, name);
  } catch {
    // See `kept`.
  }
}
