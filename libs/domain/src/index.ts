export * from './errors.ts';
export * from './journal/ports.ts';
