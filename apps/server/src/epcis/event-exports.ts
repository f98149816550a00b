import { Inject, Injectable } from '@nestjs/common';
import type { JournalEntry, RecordKind } from '@rundlet/contracts';
import { traceLineage } from '@rundlet/domain';
import { documentOf, EVENT_KINDS, eventsOf, Identifiers, type Named } from '@rundlet/epcis';
import sql, { join, type Sql } from 'sql-template-tag';
import { ENTRY_COLUMNS, entryOf, type EntryRow } from '../database/journal-rows.ts';
import { allOf } from '../database/page.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Clock } from '../platform/clock.ts';
import { InvalidRequest } from '../platform/problem.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';

interface Choice {
  readonly caskId?: string | undefined;
  readonly blendId?: string | undefined;
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

/** More would be a document that hardly anything can open; a shorter period is asked for. */
const MOST_ENTRIES = 50_000;
const CHUNK = 500;
const LINEAGE: readonly RecordKind[] = ['harvest-lot', 'ferment', 'still-run', 'spirit-lot'];

/** Journal entries as EPCIS events. */
@Injectable()
export class EventExports {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** @throws NotFound, InvalidRequest when nothing is chosen or too much */
  async document(choice: Choice): Promise<object> {
    const entries = await this.chosen(choice);
    const reversed = await this.reversals(entries);
    const ids = await this.identifiersFor(entries);
    const events = entries.flatMap((e) => eventsOf(e, ids, reversed.get(e.id) ?? null));
    return documentOf(events, ids, this.clock.instant());
  }

  private async chosen({ caskId, blendId, from, to }: Choice): Promise<JournalEntry[]> {
    const period = [
      ...(from === undefined ? [] : [sql`"happenedAt" >= ${`${from}T00:00:00.000Z`}`]),
      ...(to === undefined ? [] : [sql`"happenedAt" <= ${`${to}T23:59:59.999Z`}`]),
    ];
    if (caskId === undefined && blendId === undefined) {
      if (period.length < 2)
        throw new InvalidRequest([
          { path: ['query', 'from'], message: 'choose a cask, a blend, or a first and a last day' },
        ]);
      return this.entries([allOf(period)]);
    }
    const subjects = new Set<string>();
    const origins = new Set<string>();
    const trace = async (kind: 'filling' | 'blend', id: string) => {
      const graph = await traceLineage(kind, id, this.records);
      for (const node of graph?.nodes ?? [])
        if ((LINEAGE as readonly string[]).includes(node.kind)) origins.add(node.key);
    };
    if (caskId !== undefined) {
      await this.records.need('cask', caskId);
      subjects.add(`cask:${caskId}`);
      for (const filling of await this.records.where('filling', sql`"caskId" = ${caskId}`)) {
        subjects.add(`filling:${filling.id}`);
        await trace('filling', filling.id);
      }
    }
    if (blendId !== undefined) {
      const blend = await this.records.need('blend', blendId);
      subjects.add(`blend:${blendId}`);
      for (const { fillingId } of blend.fillings) subjects.add(`filling:${fillingId}`);
      await trace('blend', blendId);
    }
    const found = new Map<number, JournalEntry>();
    const about = async (keys: readonly string[], wanted: (e: JournalEntry) => boolean) => {
      for (let at = 0; at < keys.length; at += CHUNK) {
        const part = join(keys.slice(at, at + CHUNK));
        const subject = sql`"seq" IN (SELECT "seq" FROM "journal_subject" WHERE "subject" IN (${part}))`;
        for (const entry of await this.entries([subject, ...period]))
          if (wanted(entry)) found.set(entry.seq, entry);
      }
    };
    await about([...subjects], () => true);
    // A harvest is mentioned by every ferment it went into; only the steps that lead here are wanted.
    const ids = new Set([...origins].map((key) => key.slice(key.indexOf(':') + 1)));
    await about([...origins], (e) => e.kind.endsWith('.record') && ids.has(String(e.body['id'])));
    return [...found.values()].sort((a, b) => a.seq - b.seq);
  }

  private async entries(conditions: readonly Sql[]): Promise<JournalEntry[]> {
    const rows = await this.reader.all<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE ${allOf([...conditions, sql`"kind" IN (${join([...EVENT_KINDS])})`])} ORDER BY "seq" LIMIT ${MOST_ENTRIES + 1}`,
    );
    if (rows.length > MOST_ENTRIES)
      throw new InvalidRequest([
        {
          path: ['query', 'to'],
          message: `more than ${String(MOST_ENTRIES)} entries are chosen; choose a shorter period`,
        },
      ]);
    return rows.map(entryOf);
  }

  /** When entries were taken back, by their ids. */
  private async reversals(entries: readonly JournalEntry[]): Promise<Map<string, string>> {
    const at = new Map<string, string>();
    for (let from = 0; from < entries.length; from += CHUNK) {
      const ids = join(entries.slice(from, from + CHUNK).map((e) => e.id));
      const rows = await this.reader.all<{ reversed: string; receivedAt: string }>(
        sql`SELECT "reversesEntryId" AS "reversed", "receivedAt" FROM "journal_entry" WHERE "reversesEntryId" IN (${ids})`,
      );
      for (const row of rows) at.set(row.reversed, row.receivedAt);
    }
    return at;
  }

  /** Lets the entries say which names they need, then reads those. */
  private async identifiersFor(entries: readonly JournalEntry[]): Promise<Identifiers> {
    const origin = originOf(this.settings);
    const wanted = new Map<RecordKind, Set<string>>();
    const asking = new Identifiers(origin, (kind, id) => {
      wanted.set(kind, (wanted.get(kind) ?? new Set()).add(id));
      return null;
    });
    for (const entry of entries) eventsOf(entry, asking, null);
    const names = new Map<string, Named>();
    for (const [kind, ids] of wanted)
      for (const record of await this.records.get(kind, [...ids]))
        if ('code' in record) names.set(`${kind}:${record.id}`, record);
    return new Identifiers(origin, (kind, id) => names.get(`${kind}:${id}`) ?? null);
  }
}
