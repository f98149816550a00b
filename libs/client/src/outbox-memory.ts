import type { OutboxItem, OutboxStorage } from './outbox.ts';

/** An outbox in memory, for the command line and for tests. */
export function memoryOutbox(): OutboxStorage {
  const items = new Map<string, OutboxItem>();
  let sequence = 0;
  return {
    all: async () => [...items.values()].sort((a, b) => a.sequence - b.sequence),
    get: async (id) => items.get(id),
    add: async (fresh) => {
      const known = items.get(fresh.id);
      if (known) return known;
      const item = { ...fresh, sequence: ++sequence };
      items.set(item.id, item);
      return item;
    },
    replace: async (item) => {
      if (items.has(item.id)) items.set(item.id, item);
    },
    remove: async (id) => {
      items.delete(id);
    },
  };
}
