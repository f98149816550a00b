import { Injectable } from '@nestjs/common';
import type { Attachment, HistoryLine, JournalEntry } from '@rundlet/contracts';
import { attachmentsOf, describeEntry, isReversible, type NameOf } from '@rundlet/domain';
import sql, { join, type Sql } from 'sql-template-tag';
import { ENTRY_COLUMNS, entryOf, type EntryRow } from '../database/journal-rows.ts';
import { allOf, pageOf, readKey, type Page } from '../database/page.ts';
import { Reader } from '../database/reader.ts';
import { tableOf } from '../database/records.ts';

type Named = Parameters<NameOf>[0];

/** What an entry says for good: all but the names, which may change. */
interface Said {
  /** with `\0kind:id\0` in the place of each name */
  readonly words: string;
  readonly named: readonly (readonly [Named, string])[];
  readonly attachments: readonly Attachment[];
  /** the entry that held what this one settles */
  readonly settles: string | null;
}
interface Entry
  extends Said, Pick<EntryRow, 'seq' | 'id' | 'kind' | 'happenedAt' | 'receivedAt' | 'actorId'> {}

/** An entry longer than this, bytes, is read once and what it says is kept: a stock-take of 4,000 casks is half a megabyte. */
const LONG = 20_000;
const MOST_KEPT = 1000;
const CHUNK = 1000;

/** Journal entries told in words. */
@Injectable()
export class History {
  /** Of long entries only. Entries never change, so whichever process keeps them keeps the same. */
  readonly #kept = new Map<string, Said>();

  constructor(private readonly reader: Reader) {}

  /** Newest first; all of them, or those about one record (`cask:…`), or of one kind. */
  async page(query: {
    after?: string | undefined;
    limit: number;
    subject?: string | undefined;
    kind?: string | undefined;
  }): Promise<Page<HistoryLine>> {
    const conditions: Sql[] = [];
    if (query.after !== undefined)
      conditions.push(sql`"seq" < ${readKey(query.after, ['number'])[0]}`);
    if (query.kind !== undefined) conditions.push(sql`"kind" = ${query.kind}`);
    if (query.subject !== undefined) conditions.push(isAbout([query.subject]));
    const entries = await this.entries(allOf(conditions), query.limit + 1);
    const page = pageOf(entries, query.limit, (e) => [e.seq]);
    return { rows: await this.tell(page.rows), next: page.next };
  }

  /** The newest entries about any of these subjects. */
  async about(subjects: readonly string[], limit: number): Promise<HistoryLine[]> {
    return subjects.length === 0 ? [] : this.tell(await this.entries(isAbout(subjects), limit));
  }

  /** What each of these entries says, by its id. */
  async wordsOf(entryIds: readonly string[]): Promise<Map<string, string>> {
    const words = new Map<string, string>();
    for (const ids of chunks([...new Set(entryIds)])) {
      const entries = await this.entries(sql`"id" IN (${join(ids)})`, CHUNK);
      const withNames = await this.namesFor(entries);
      for (const entry of entries) words.set(entry.id, withNames(entry.words));
    }
    return words;
  }

  /** Whole entries. */
  async byId(entryIds: readonly string[]): Promise<Map<string, JournalEntry>> {
    const found = new Map<string, JournalEntry>();
    for (const ids of chunks([...new Set(entryIds)]))
      for (const row of await this.reader.all<EntryRow>(
        sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE "id" IN (${join(ids)})`,
      ))
        found.set(row.id, entryOf(row));
    return found;
  }

  private async entries(condition: Sql, limit: number): Promise<Entry[]> {
    const short = (column: Sql) =>
      sql`CASE WHEN OCTET_LENGTH("body") + OCTET_LENGTH("outcome") <= ${LONG} THEN ${column} END`;
    const rows = await this.reader.all<
      Omit<Entry, keyof Said> & { body: string | null; outcome: string | null }
    >(
      sql`SELECT "seq", "id", "kind", "happenedAt", "receivedAt", "actorId", ${short(sql`"body"`)} AS "body", ${short(sql`"outcome"`)} AS "outcome"
          FROM "journal_entry" WHERE ${condition} ORDER BY "seq" DESC LIMIT ${limit}`,
    );
    const entries: Entry[] = [];
    for (const { body, outcome, ...entry } of rows)
      entries.push({
        ...entry,
        ...(body === null || outcome === null
          ? await this.long(entry)
          : said(entry.kind, body, outcome)),
      });
    return entries;
  }

  /** One at a time, for they are long. */
  private async long({ id, kind }: Pick<Entry, 'id' | 'kind'>): Promise<Said> {
    const kept = this.#kept.get(id);
    if (kept) return kept;
    const row = await this.reader.one<Pick<EntryRow, 'body' | 'outcome'>>(
      sql`SELECT "body", "outcome" FROM "journal_entry" WHERE "id" = ${id}`,
    );
    const found = said(kind, row?.body ?? '{}', row?.outcome ?? '{}');
    const [oldest] = this.#kept.size < MOST_KEPT ? [] : this.#kept.keys();
    if (oldest !== undefined) this.#kept.delete(oldest);
    this.#kept.set(id, found);
    return found;
  }

  private async tell(entries: readonly Entry[]): Promise<HistoryLine[]> {
    if (entries.length === 0) return [];
    const held = entries.flatMap((entry) => entry.settles ?? []);
    const [withNames, actors, reversals, settled] = await Promise.all([
      this.namesFor(entries),
      this.namesOfActors(entries.map((e) => e.actorId)),
      this.reversalsOf(entries.map((e) => e.id)),
      held.length === 0 ? [] : this.entries(sql`"id" IN (${join(held)})`, held.length),
    ]);
    const attached = new Map(settled.map(({ id, attachments }) => [id, attachments]));
    return entries.map((entry) => {
      const reversedBy = reversals.get(entry.id) ?? null;
      return {
        seq: entry.seq,
        id: entry.id,
        kind: entry.kind,
        happenedAt: entry.happenedAt,
        receivedAt: entry.receivedAt,
        actorName: actors.get(entry.actorId) ?? entry.actorId,
        words: withNames(entry.words),
        attachments: [...(attached.get(entry.settles ?? '') ?? entry.attachments)],
        reversedBy,
        reversible: reversedBy === null && isReversible(entry.kind),
      };
    });
  }

  /** Reads the names that these entries need, and answers with what puts them into words. */
  private async namesFor(entries: readonly Entry[]): Promise<(words: string) => string> {
    const wanted = new Map(
      entries.flatMap(({ named }) => named).map((name) => [name.join(':'), name]),
    );
    const names = new Map<string, string>();
    for (const chunk of chunks([...wanted.values()])) {
      const kinds = [...new Set(chunk.map(([kind]) => kind))];
      const ofKinds = kinds.map((kind) => {
        const ids = chunk.flatMap(([of, id]) => (of === kind ? id : []));
        return sql`SELECT ${kind} AS "kind", "id", ${NAMED_BY_CODE.includes(kind) ? sql`"code"` : sql`"record"`} AS "name" FROM ${tableOf(kind)} WHERE "id" IN (${join(ids)})`;
      });
      for (const { kind, id, name } of await this.reader.all<{
        kind: Named;
        id: string;
        name: string;
      }>(join(ofKinds, ' UNION ALL ')))
        names.set(`${kind}:${id}`, NAMED_BY_CODE.includes(kind) ? name : nameIn(name));
    }
    return (words) =>
      words.replace(
        SLOT,
        (_, kind: string, id: string) =>
          names.get(`${kind}:${id}`) ?? `${kind.replaceAll('-', ' ')} …${id.slice(-6)}`,
      );
  }

  /** People and devices by their ids. */
  async namesOfActors(ids: readonly string[]): Promise<Map<string, string>> {
    if (ids.length === 0) return new Map();
    const list = join([...new Set(ids)]);
    const rows = await this.reader.all<{ id: string; name: string }>(
      sql`SELECT "id", "name" FROM "person" WHERE "id" IN (${list})
          UNION ALL SELECT "id", "label" AS "name" FROM "device_token" WHERE "id" IN (${list})`,
    );
    return new Map(rows.map((row) => [row.id, row.name]));
  }

  private async reversalsOf(ids: readonly string[]): Promise<Map<string, string>> {
    const rows = await this.reader.all<{ reversed: string; id: string }>(
      sql`SELECT "reversesEntryId" AS "reversed", "id" FROM "journal_entry" WHERE "reversesEntryId" IN (${join([...ids])})`,
    );
    return new Map(rows.map((row) => [row.reversed, row.id]));
  }
}

const SLOT = /\0([a-z-]+):([^\0]*)\0/g;

function said(kind: JournalEntry['kind'], bodyText: string, outcomeText: string): Said {
  const body = JSON.parse(bodyText) as JournalEntry['body'];
  const outcome = JSON.parse(outcomeText) as JournalEntry['outcome'];
  const named: [Named, string][] = [];
  const words = describeEntry({ kind, body, outcome }, (of, id) => {
    named.push([of, id]);
    return `\0${of}:${id}\0`;
  });
  const settles = kind === 'held.settle' ? String(body['heldActId']) : null;
  return { words, named, attachments: attachmentsOf({ kind, body }), settles };
}

const isAbout = (subjects: readonly string[]): Sql =>
  sql`"seq" IN (SELECT "seq" FROM "journal_subject" WHERE "subject" IN (${join([...subjects])}))`;

/** Casks and places go by what is printed on them, the rest by its name. */
const NAMED_BY_CODE: readonly Named[] = ['cask', 'position'];
function nameIn(record: string): string {
  const { code, name } = JSON.parse(record) as { code: string; name?: string };
  return name ?? code;
}

function* chunks<T>(list: readonly T[]): Generator<T[]> {
  for (let from = 0; from < list.length; from += CHUNK) yield list.slice(from, from + CHUNK);
}
