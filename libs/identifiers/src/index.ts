export * from './check-character.ts';
export * from './code.ts';
export * from './gs1-key.ts';
