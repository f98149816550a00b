import { CreateTables1782900000000 } from './1782900000000-create-tables.ts';

/** Every migration, oldest first; one list for both databases. */
export const MIGRATIONS = [CreateTables1782900000000];
