import type { SpareLabel } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';

/** A spare is on a cask once a cask has its code or answers to it. */
const OPEN = sql`NOT EXISTS (SELECT 1 FROM "cask" c WHERE c."code" = s."code")
  AND NOT EXISTS (SELECT 1 FROM "cask_alias" a WHERE a."value" = s."code")`;

/** Spare labels that are on no cask yet, newest first. */
export async function openSpareLabels(reader: Rows, limit: number): Promise<SpareLabel[]> {
  const rows = await reader.all<{ record: string }>(
    sql`SELECT s."record" FROM "spare_label" s WHERE ${OPEN} ORDER BY s."at" DESC, s."code" LIMIT ${limit}`,
  );
  return rows.map(({ record }) => JSON.parse(record) as SpareLabel);
}

export async function countOpenSpareLabels(reader: Rows): Promise<number> {
  const row = await reader.one<{ open: number }>(
    sql`SELECT COUNT(*) AS "open" FROM "spare_label" s WHERE ${OPEN}`,
  );
  return Number(row?.open ?? 0);
}
