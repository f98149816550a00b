import { Injectable } from '@nestjs/common';
import type { HistoryLine, JournalEntry } from '@rundlet/contracts';
import { attachmentsOf, describeEntry, isReversible, type NameOf } from '@rundlet/domain';
import sql, { join, type Sql } from 'sql-template-tag';
import { ENTRY_COLUMNS, entryOf, type EntryRow } from '../database/journal-rows.ts';
import { allOf, pageOf, readKey, type Page } from '../database/page.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

type Named = Parameters<NameOf>[0];

/** Journal entries told in words. */
@Injectable()
export class History {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
  ) {}

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
    const entries = [...(await this.byId(entryIds)).values()];
    const name = await this.namesFor(entries);
    return new Map(entries.map((entry) => [entry.id, describeEntry(entry, name)]));
  }

  async byId(entryIds: readonly string[]): Promise<Map<string, JournalEntry>> {
    const found = new Map<string, JournalEntry>();
    const distinct = [...new Set(entryIds)];
    for (let from = 0; from < distinct.length; from += 1000) {
      const ids = join(distinct.slice(from, from + 1000));
      for (const entry of await this.entries(sql`"id" IN (${ids})`, 1000))
        found.set(entry.id, entry);
    }
    return found;
  }

  private async entries(condition: Sql, limit: number): Promise<JournalEntry[]> {
    const rows = await this.reader.all<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE ${condition} ORDER BY "seq" DESC LIMIT ${limit}`,
    );
    return rows.map(entryOf);
  }

  private async tell(entries: readonly JournalEntry[]): Promise<HistoryLine[]> {
    if (entries.length === 0) return [];
    const [name, actors, reversals, settled] = await Promise.all([
      this.namesFor(entries),
      this.namesOfActors(entries.map((e) => e.actorId)),
      this.reversalsOf(entries.map((e) => e.id)),
      this.byId(entries.flatMap((e) => heldBy(e) ?? [])),
    ]);
    return entries.map((entry) => {
      const reversedBy = reversals.get(entry.id) ?? null;
      return {
        seq: entry.seq,
        id: entry.id,
        kind: entry.kind,
        happenedAt: entry.happenedAt,
        receivedAt: entry.receivedAt,
        actorName: actors.get(entry.actorId) ?? entry.actorId,
        words: describeEntry(entry, name),
        attachments: [...attachmentsOf(settled.get(heldBy(entry) ?? '') ?? entry)],
        reversedBy,
        reversible: reversedBy === null && isReversible(entry.kind),
      };
    });
  }

  /** Lets the entries say which names they need, then reads those. */
  private async namesFor(entries: readonly JournalEntry[]): Promise<NameOf> {
    const wanted = new Map<Named, Set<string>>();
    for (const entry of entries)
      describeEntry(entry, (kind, id) => {
        wanted.set(kind, (wanted.get(kind) ?? new Set()).add(id));
        return '';
      });
    const names = new Map<string, string>();
    for (const [kind, ids] of wanted)
      for (const record of await this.records.get(kind, [...ids]))
        names.set(`${kind}:${record.id}`, nameOf(kind, record));
    return (kind, id) =>
      names.get(`${kind}:${id}`) ?? `${kind.replaceAll('-', ' ')} …${id.slice(-6)}`;
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

/** The entry that held what this one settles. */
const heldBy = ({ kind, body }: JournalEntry): string | null =>
  kind === 'held.settle' ? String(body['heldActId']) : null;

const isAbout = (subjects: readonly string[]): Sql =>
  sql`"seq" IN (SELECT "seq" FROM "journal_subject" WHERE "subject" IN (${join([...subjects])}))`;

/** Casks and places go by what is printed on them, the rest by its name. */
function nameOf(kind: Named, record: object): string {
  const { code, name } = record as { code: string; name?: string };
  return kind === 'cask' || kind === 'position' ? code : (name ?? code);
}
