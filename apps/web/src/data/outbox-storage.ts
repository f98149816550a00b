import type { OutboxItem, OutboxStorage } from '@rundlet/client';
import { database } from './database.ts';

/** Reported written only once it is on the disk: a phone's battery may end in the next second. */
const DURABLE = { durability: 'strict' } as const;

/** The outbox over IndexedDB. */
export const outboxStorage: OutboxStorage = {
  async all() {
    return (await database()).getAllFromIndex('outbox', 'sequence');
  },
  async get(id) {
    return (await database()).get('outbox', id);
  },
  async add(fresh) {
    const transaction = (await database()).transaction(['outbox', 'kept'], 'readwrite', DURABLE);
    const known = await transaction.objectStore('outbox').get(fresh.id);
    if (known) return known;
    const last =
      ((await transaction.objectStore('kept').get('sequence')) as number | undefined) ?? 0;
    const item: OutboxItem = { ...fresh, sequence: last + 1 };
    await transaction.objectStore('kept').put(last + 1, 'sequence');
    await transaction.objectStore('outbox').put(item);
    await transaction.done;
    return item;
  },
  async replace(item) {
    const transaction = (await database()).transaction('outbox', 'readwrite', DURABLE);
    // An item a person took off in the meantime stays off.
    if (await transaction.store.get(item.id)) await transaction.store.put(item);
    await transaction.done;
  },
  async remove(id) {
    await (await database()).delete('outbox', id);
  },
};
