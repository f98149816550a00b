import { Rows } from './rows.ts';

/** The connection that only reads: it never sees a write that is not committed, and never waits for one. */
export class Reader extends Rows {}
