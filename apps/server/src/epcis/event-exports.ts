import { Inject, Injectable } from '@nestjs/common';
import type { ActKind, JournalEntry, RecordKind } from '@rundlet/contracts';
import { traceLineage } from '@rundlet/domain';
import {
  documentOf,
  EVENT_KINDS,
  eventsOf,
  Identifiers,
  type Correction,
  type Named,
  type Told,
} from '@rundlet/epcis';
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
const LINEAGE = ['harvest-lot', 'ferment', 'still-run', 'spirit-lot'] as const;
const RECORDED_BY: Readonly<Record<(typeof LINEAGE)[number], ActKind>> = {
  'harvest-lot': 'harvest.record',
  ferment: 'ferment.record',
  'still-run': 'still-run.record',
  'spirit-lot': 'spirit-lot.record',
};

interface Reversal {
  readonly seq: number;
  readonly id: string;
  readonly reversesEntryId: string;
  readonly receivedAt: string;
}
/** A correction, or that the last one was taken back. */
type Change = Omit<Correction, 'facts'> & { readonly facts: Correction['facts'] | null };

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
    const told = await this.sinceThen(entries);
    const ids = await this.identifiersFor(told);
    const events = told.flatMap((one) => eventsOf(one, ids));
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
      const entries = await inChunks(keys, (part) =>
        this.entries([
          sql`"seq" IN (SELECT "seq" FROM "journal_subject" WHERE "subject" IN (${join(part)}))`,
          ...period,
        ]),
      );
      for (const entry of entries) if (wanted(entry)) found.set(entry.seq, entry);
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

  /** What has become of entries: taken back, or corrected. */
  private async sinceThen(entries: readonly JournalEntry[]): Promise<Told[]> {
    const steps = entries.flatMap((e) => stepOf(e) ?? []);
    const corrections = (
      await inChunks(steps, (subjects) =>
        this.reader.all<EntryRow>(
          sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE "kind" = 'step.correct'
              AND "seq" IN (SELECT "seq" FROM "journal_subject" WHERE "subject" IN (${join(subjects)}))`,
        ),
      )
    )
      .map(entryOf)
      .filter(({ outcome }) => (outcome['changes'] as unknown[]).length > 0);
    const reversals = await inChunks(
      [...entries, ...corrections].map((e) => e.id),
      (ids) =>
        this.reader.all<Reversal>(
          sql`SELECT "seq", "id", "reversesEntryId", "receivedAt" FROM "journal_entry" WHERE "reversesEntryId" IN (${join(ids)})`,
        ),
    );
    const reversalOf = new Map(reversals.map((r) => [r.reversesEntryId, r]));
    const changesOf = new Map<string, Map<number, Change>>();
    for (const correction of corrections) {
      const { seq, id, receivedAt, body, outcome } = correction;
      const step = `${String(body['kind'])}:${String(body['id'])}`;
      const changes = changesOf.get(step) ?? new Map<number, Change>();
      changesOf.set(step, changes);
      changes.set(seq, { entryId: id, receivedAt, facts: outcome['facts'] as Correction['facts'] });
      const taken = reversalOf.get(id);
      if (taken)
        changes.set(taken.seq, { entryId: taken.id, receivedAt: taken.receivedAt, facts: null });
    }
    return entries.map((entry) => ({
      entry,
      reversedAt: reversalOf.get(entry.id)?.receivedAt ?? null,
      corrections: corrected(entry.body, changesOf.get(stepOf(entry) ?? '')),
    }));
  }

  /** Lets the entries say which names they need, then reads those. */
  private async identifiersFor(told: readonly Told[]): Promise<Identifiers> {
    const origin = originOf(this.settings);
    const wanted = new Map<RecordKind, Set<string>>();
    const asking = new Identifiers(origin, (kind, id) => {
      wanted.set(kind, (wanted.get(kind) ?? new Set()).add(id));
      return null;
    });
    for (const one of told) eventsOf(one, asking);
    const names = new Map<string, Named>();
    for (const [kind, ids] of wanted)
      for (const record of await this.records.get(kind, [...ids]))
        if ('code' in record) names.set(`${kind}:${record.id}`, record);
    return new Identifiers(origin, (kind, id) => names.get(`${kind}:${id}`) ?? null);
  }
}

/** The step of the chain that an entry recorded. */
function stepOf({ kind, body }: JournalEntry): string | null {
  const step = LINEAGE.find((known) => RECORDED_BY[known] === kind);
  return step === undefined ? null : `${step}:${String(body['id'])}`;
}

/** What was said of a step after it was recorded, in the order of the journal; the last correction is taken back first. */
function corrected(
  recorded: Correction['facts'],
  changes: ReadonlyMap<number, Change> = new Map<number, Change>(),
): Correction[] {
  const said = [recorded];
  return [...changes]
    .sort(([a], [b]) => a - b)
    .map(([, { entryId, receivedAt, facts }]) => {
      if (facts) said.push(facts);
      else said.pop();
      return { entryId, receivedAt, facts: said.at(-1) ?? recorded };
    });
}

async function inChunks<T>(
  keys: readonly string[],
  read: (part: readonly string[]) => Promise<readonly T[]>,
): Promise<T[]> {
  const found: T[] = [];
  for (let at = 0; at < keys.length; at += CHUNK)
    found.push(...(await read(keys.slice(at, at + CHUNK))));
  return found;
}
