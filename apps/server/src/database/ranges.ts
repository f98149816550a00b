import sql, { type Sql } from 'sql-template-tag';

/** Last of all characters, in the order both databases sort text by. */
const LAST_CHARACTER = '\u{10FFFF}';

/** Text that begins with `start`: as a range, so that an index can be used. */
export const startsWith = (column: Sql, start: string): Sql =>
  sql`(${column} >= ${start} AND ${column} < ${start + LAST_CHARACTER})`;

/** The last instant of a calendar day in UTC. */
export const lastDay = (date: string): string => `${date}T23:59:59.999Z`;

/**
 * That a filling matures, where only few of those are looked for. Not as an equality: SQLite would go through all that matures in the
 * order asked for, to find the few.
 */
export const isMaturing = (status: Sql): Sql =>
  sql`CASE ${status} WHEN 'maturing' THEN 1 ELSE 0 END = 1`;
