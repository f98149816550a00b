import { Injectable } from '@nestjs/common';
import type { RecordKind, RecordOf } from '@rundlet/contracts';
import sql, { join, raw, type Sql } from 'sql-template-tag';
import { NotFound } from '../platform/refusals.ts';
import { allOf, beyond, orderBy, pageOf, readKey, type Page } from './page.ts';
import { Reader } from './reader.ts';
import type { SqlValue } from './state-table.ts';
import { stateTableOf } from './state-tables.ts';

const CHUNK = 2000;

/** State records, read whole. */
@Injectable()
export class Records {
  constructor(private readonly reader: Reader) {}

  async find<K extends RecordKind>(kind: K, id: string | null): Promise<RecordOf<K> | null> {
    if (id === null) return null;
    return (await this.where(kind, sql`"id" = ${id}`))[0] ?? null;
  }

  /** @throws NotFound */
  async need<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K>> {
    const record = await this.find(kind, id);
    if (!record) throw new NotFound(`There is no ${kind.replaceAll('-', ' ')} ${id}.`);
    return record;
  }

  /** Those that exist, in no particular order. */
  async get<K extends RecordKind>(kind: K, ids: readonly string[]): Promise<RecordOf<K>[]> {
    const distinct = [...new Set(ids)];
    const found: RecordOf<K>[] = [];
    for (let from = 0; from < distinct.length; from += CHUNK)
      found.push(
        ...(await this.where(kind, sql`"id" IN (${join(distinct.slice(from, from + CHUNK))})`)),
      );
    return found;
  }

  async byId<K extends RecordKind>(
    kind: K,
    ids: readonly string[],
  ): Promise<Map<string, RecordOf<K>>> {
    return new Map((await this.get(kind, ids)).map((record) => [record.id, record]));
  }

  async where<K extends RecordKind>(
    kind: K,
    condition: Sql,
    order: Sql = sql`"id"`,
  ): Promise<RecordOf<K>[]> {
    const rows = await this.reader.all<{ record: string }>(
      sql`SELECT "record" FROM ${tableOf(kind)} WHERE ${condition} ORDER BY ${order}`,
    );
    return rows.map((row) => JSON.parse(row.record) as RecordOf<K>);
  }

  /** Records of several kinds by one statement, each kind under its name and in no particular order. */
  async together<K extends RecordKind>(
    conditions: Readonly<Record<K, Sql>>,
  ): Promise<{ [P in K]: RecordOf<P>[] }> {
    const kinds = Object.keys(conditions) as K[];
    const parts = kinds.map(
      (kind) =>
        sql`SELECT ${raw(`'${kind}'`)} AS "kind", "record" FROM ${tableOf(kind)} WHERE ${conditions[kind]}`,
    );
    const found = Object.fromEntries(kinds.map((kind) => [kind, []])) as unknown as {
      [P in K]: RecordOf<P>[];
    };
    for (const { kind, record } of await this.reader.all<{ kind: K; record: string }>(
      join(parts, ' UNION ALL '),
    ))
      found[kind].push(JSON.parse(record) as RecordOf<typeof kind>);
    return found;
  }

  /** A page in the order of one text column and the id. */
  async page<K extends RecordKind>(
    kind: K,
    by: { column: string; direction: 'asc' | 'desc' },
    query: { after?: string | undefined; limit: number },
    conditions: readonly Sql[] = [],
  ): Promise<Page<RecordOf<K>>> {
    const columns = [sql`${raw(`"${by.column}"`)}`, sql`"id"`];
    const after =
      query.after === undefined
        ? []
        : [beyond(columns, by.direction, readKey(query.after, ['string', 'string']))];
    const rows = await this.reader.all<{ key: string; id: string; record: string }>(
      sql`SELECT ${columns[0]} AS "key", "id", "record" FROM ${tableOf(kind)}
          WHERE ${allOf([...conditions, ...after])} ORDER BY ${orderBy(columns, by.direction)} LIMIT ${query.limit + 1}`,
    );
    const page = pageOf(rows, query.limit, (row): SqlValue[] => [row.key, row.id]);
    return {
      rows: page.rows.map((row) => JSON.parse(row.record) as RecordOf<K>),
      next: page.next,
    };
  }
}

export const tableOf = (kind: RecordKind): Sql => raw(`"${stateTableOf(kind).name}"`);
