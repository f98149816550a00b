import type { Setting } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { z } from 'zod';
import type { Reader } from '../database/reader.ts';

interface NumberSetting {
  readonly key: string;
  readonly most: number;
  /** Where none is set, or none that can be used. */
  readonly otherwise: number;
}

/** A number that a keeper has set, as it is in force on a day. */
export async function numberInForce(
  reader: Reader,
  day: string,
  { key, most, otherwise }: NumberSetting,
): Promise<number> {
  const set = await reader.one<{ record: string }>(
    sql`SELECT "record" FROM "setting" WHERE "id" LIKE ${`${key}@%`} AND "effectiveFrom" <= ${day} ORDER BY "effectiveFrom" DESC LIMIT 1`,
  );
  if (!set) return otherwise;
  const number = z
    .number()
    .min(0)
    .max(most)
    .safeParse((JSON.parse(set.record) as Setting).value);
  return number.success ? number.data : otherwise;
}
