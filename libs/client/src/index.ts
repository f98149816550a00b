export * from './client.ts';
export * from './door.ts';
export * from './session.ts';
export * from './outbox.ts';
export * from './outbox-file.ts';
export * from './outbox-memory.ts';
