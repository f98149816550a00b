export * from './client.ts';
export * from './outbox.ts';
export * from './outbox-file.ts';
export * from './outbox-memory.ts';
