import { CODE_ALPHABET, nearestCodes } from '@rundlet/identifiers';
import sql, { join, raw } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import { startsWith } from '../database/ranges.ts';

const MOST_BY_PREFIX = 2000;

/**
 * Existing codes nearest to a misread one. All that are one wrong character or one swap away are looked up by name; of
 * those farther away the ones that begin alike. Neither grows with the number of casks.
 */
export async function nearExistingCodes(
  rows: Rows,
  table: 'cask' | 'position',
  misread: string,
): Promise<string[]> {
  const found = await rows.all<{ code: string }>(
    sql`SELECT "code" FROM ${raw(`"${table}"`)} WHERE "code" IN (${join(oneSlipFrom(misread))})
        UNION SELECT "code" FROM (SELECT "code" FROM ${raw(`"${table}"`)} WHERE ${startsWith(sql`"code"`, misread.slice(0, 4))} ORDER BY "code" LIMIT ${MOST_BY_PREFIX}) AS alike`,
  );
  return nearestCodes(
    misread,
    found.map((row) => row.code),
  ).map((near) => near.code);
}

/** Every text one substitution or one swap of neighbours away. */
function oneSlipFrom(code: string): string[] {
  const slips = new Set<string>();
  for (let i = 0; i < code.length; i++) {
    const [before, after] = [code.slice(0, i), code.slice(i + 1)];
    for (const other of CODE_ALPHABET) slips.add(before + other + after);
    if (after !== '') slips.add(before + after.charAt(0) + code.charAt(i) + after.slice(1));
  }
  return [...slips];
}
