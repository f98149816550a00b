import type { RecordKind, RecordOf } from '@rundlet/contracts';
import {
  addUp,
  canonicalJson,
  inputsOf,
  isOfAccount,
  isRunning,
  type MadeKind,
  sumOf,
  type PostingSum,
  type RecordStore,
  type UniqueKey,
} from '@rundlet/domain';
import sql, { empty, join, raw, type Sql } from 'sql-template-tag';
import type { Rows, Writes } from './rows.ts';
import { listRowsOf, rowOf } from './state-table.ts';
import { stateTableOf } from './state-tables.ts';
import { SUMMED_KINDS, SumChanges } from './sums.ts';

type AnyRecord = RecordOf<RecordKind>;
/** Records that belong to an entry are called by its id and something more. */
const ID_LENGTH = 36;

/**
 * The state as one transaction sees it: what the database holds, overlaid with what the acts decided so far have changed.
 * Nothing reaches the database before `flush`, so that many acts cost few statements and a rehearsal none at all.
 */
export class StateStore implements RecordStore {
  readonly #rows: Rows;
  /** What is on its way to the database, and is as good as there. */
  #underway: StateStore | null;
  readonly #read = new Map<string, AnyRecord | null>();
  readonly #changes = new Map<RecordKind, Map<string, AnyRecord | null>>();
  /** Whom the database gives a code or alias to. Nobody else writes while a transaction holds the journal. */
  readonly #readOwnerOf = new Map<string, string | null>();
  /** Who has which code or alias among the changes. */
  readonly #ownerOf = new Map<string, string>();

  /** Ids of records that nobody can have written yet. */
  readonly #fresh = new Set<string>();
  /** Codes and aliases of records that were forgotten. */
  readonly #forgotten = new Set<string>();

  /** What was found out rests on these: records by kind and id, and kinds of which many were looked through. */
  readonly #rests = new Set<string>();

  constructor(rows: Rows, underway: StateStore | null = null) {
    this.#rows = rows;
    this.#underway = underway;
  }

  /** What was looked at and may be changed by others: `kind:id`, or `kind:` where any of the kind might matter. */
  get restsOn(): ReadonlySet<string> {
    return this.#rests;
  }

  /** Codes and aliases that the database gave to nobody when it was asked, as {@link isOwned} takes them. */
  unowned(): string[] {
    return [...this.#readOwnerOf].flatMap(([key, owner]) => (owner === null ? [key] : []));
  }

  /** Whether one of these has an owner now. */
  async isOwned(keys: readonly string[]): Promise<boolean> {
    const values = new Map<string, string[]>();
    for (const key of keys) {
      const [, of = '', value = ''] = /^([^|]*\|[^|]*)\|(.*)$/s.exec(key) ?? [];
      const list = values.get(of);
      if (list) list.push(value);
      else values.set(of, [value]);
    }
    for (const [of, list] of values) {
      const [kind, key] = of.split('|') as [RecordKind, UniqueKey];
      await this.readAhead(kind, key, list);
    }
    return keys.some((key) => this.#readOwnerOf.get(key) !== null);
  }

  /** The id has just been made: no record that is called by it needs to be looked for. */
  expectNew(id: string): void {
    this.#fresh.add(id);
  }

  /** Reads what will be asked for one by one: records by code, or casks by an alias. */
  async readAhead(kind: RecordKind, key: UniqueKey, values: readonly string[]): Promise<void> {
    const wanted = values.filter((v) => !this.#readOwnerOf.has(uniqueKey(kind, key, v)));
    if (wanted.length === 0) return;
    for (const value of wanted) this.#readOwnerOf.set(uniqueKey(kind, key, value), null);
    const table = raw(`"${stateTableOf(kind).name}"`);
    const found = await this.#rows.all<{ id: string; value: string; record: string }>(
      key === 'code'
        ? sql`SELECT "id", "code" AS "value", "record" FROM ${table} WHERE "code" IN (${join(wanted)})`
        : sql`SELECT c."id", a."value", c."record" FROM "cask_alias" a JOIN "cask" c ON c."id" = a."ownerId" WHERE a."value" IN (${join(wanted)})`,
    );
    for (const { id, value, record } of found) {
      this.#readOwnerOf.set(uniqueKey(kind, key, value), id);
      const known = `${kind}:${id}`;
      if (!this.#read.has(known))
        this.#read.set(known, this.#changedUnderway(kind, id) ?? (JSON.parse(record) as AnyRecord));
    }
  }

  /**
   * Lets go of records of these kinds and of what was read, but for the codes they have taken. For rehearsing more acts than
   * memory would hold: a later act meets a forgotten record as the database has it.
   */
  forget(kinds: readonly RecordKind[]): void {
    for (const kind of kinds) {
      for (const record of this.#changesOf(kind).values())
        if (record) for (const key of uniqueKeysOf(kind, record)) this.#forgotten.add(key);
      this.#changes.delete(kind);
    }
    this.#read.clear();
    this.#readOwnerOf.clear();
    this.#fresh.clear();
    this.#rests.clear();
  }

  async get<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null> {
    const changed = this.#changesOf(kind).get(id);
    if (changed !== undefined) return changed as RecordOf<K> | null;
    const key = `${kind}:${id}`;
    const known = this.#read.get(key);
    if (known !== undefined) {
      this.#rests.add(key);
      return known as RecordOf<K> | null;
    }
    if (this.#fresh.has(id.slice(0, ID_LENGTH))) return null;
    this.#rests.add(key);
    let found = this.#changedUnderway(kind, id);
    if (found === undefined) [found = null] = await this.#select<K>(kind, sql`"id" = ${id}`);
    this.#read.set(key, found);
    return found as RecordOf<K> | null;
  }

  put<K extends RecordKind>(kind: K, record: RecordOf<K>): void {
    this.#changesOf(kind).set(record.id, record);
    for (const key of uniqueKeysOf(kind, record)) this.#ownerOf.set(key, record.id);
  }

  remove(kind: RecordKind, id: string): void {
    this.#changesOf(kind).set(id, null);
  }

  async idByUnique(kind: RecordKind, key: UniqueKey, value: string): Promise<string | null> {
    const wanted = uniqueKey(kind, key, value);
    const among = this.#ownerOf.get(wanted);
    if (among !== undefined && this.#forgotten.has(wanted)) return among;
    if (among !== undefined && (await this.#owns(kind, among, wanted))) return among;
    const underway = this.#underway && this.#underway.#ownerOf.get(wanted);
    if (underway && (await this.#owns(kind, underway, wanted))) return underway;
    let stored = this.#readOwnerOf.get(wanted);
    if (stored === undefined) {
      stored = await this.#storedOwner(kind, key, value);
      this.#readOwnerOf.set(wanted, stored);
    }
    return stored !== null && (await this.#owns(kind, stored, wanted)) ? stored : null;
  }

  async #storedOwner(kind: RecordKind, key: UniqueKey, value: string): Promise<string | null> {
    const { name } = stateTableOf(kind);
    const row = await this.#rows.one<{ id: string }>(
      key === 'code'
        ? sql`SELECT "id" FROM ${raw(`"${name}"`)} WHERE "code" = ${value}`
        : sql`SELECT "ownerId" AS "id" FROM ${raw(`"${name}_alias"`)} WHERE "value" = ${value}`,
    );
    return row?.id ?? null;
  }

  async casksInScope(scope: {
    storeId: string;
    zoneIds: readonly string[];
    rows: readonly string[];
  }): Promise<RecordOf<'cask'>[]> {
    const { storeId, zoneIds, rows } = scope;
    const inZones = zoneIds.length > 0 ? sql` AND "zoneId" IN (${join([...zoneIds])})` : empty;
    const inRows =
      rows.length > 0
        ? sql` AND "positionId" IN (SELECT "id" FROM "position" WHERE "storeId" = ${storeId} AND "row" IN (${join([...rows])}))`
        : empty;
    const found = await this.#merged(
      'cask',
      sql`"storeId" = ${storeId} AND "status" <> 'retired'${inZones}${inRows}`,
      async (cask) => {
        if (cask.storeId !== storeId || cask.status === 'retired') return false;
        if (zoneIds.length > 0 && !(cask.zoneId && zoneIds.includes(cask.zoneId))) return false;
        if (rows.length === 0) return true;
        const position = cask.positionId ? await this.get('position', cask.positionId) : null;
        return position !== null && rows.includes(position.row);
      },
    );
    return found.sort((a, b) => (a.code < b.code ? -1 : 1));
  }

  stocktakeLines(stocktakeId: string): Promise<RecordOf<'stocktake-line'>[]> {
    return this.#merged(
      'stocktake-line',
      sql`"stocktakeId" = ${stocktakeId}`,
      (line) => line.stocktakeId === stocktakeId,
    );
  }

  async openStocktakeLines(caskId: string): Promise<RecordOf<'stocktake-line'>[]> {
    const lines = await this.#merged(
      'stocktake-line',
      sql`"caskId" = ${caskId}`,
      (line) => line.caskId === caskId,
    );
    const open: RecordOf<'stocktake-line'>[] = [];
    for (const line of lines)
      if (isRunning(await this.get('stocktake', line.stocktakeId))) open.push(line);
    return open;
  }

  openHeldActs(): Promise<RecordOf<'held-act'>[]> {
    return this.#merged('held-act', sql`"status" = 'open'`, (held) => held.status === 'open');
  }

  postingsOfEntry(entryId: string): Promise<RecordOf<'posting'>[]> {
    return this.#merged('posting', sql`"entryId" = ${entryId}`, (p) => p.entryId === entryId);
  }

  /** Lines are only ever added, so those still to be written come on top of the stored ones. */
  async postingSums({ from, to }: { from: string; to: string }): Promise<PostingSum[]> {
    const stored = await this.#rows.all<PostingSum>(
      sql`SELECT "accountId", "storeId", "cause", SUM("ethanolMg") AS "ethanolMg",
            SUM(CASE WHEN SUBSTR("at", 1, 7) < "month" THEN "ethanolMg" ELSE 0 END) AS "ofEarlierMonthsMg"
          FROM "posting" WHERE "dutyStatus" = 'suspended' AND "month" >= ${from} AND "month" <= ${to} GROUP BY "accountId", "storeId", "cause"`,
    );
    this.#rests.add('posting:');
    const added = this.#unwritten('posting').flatMap(([, record]) => {
      const posting = record as RecordOf<'posting'> | null;
      return posting && isOfAccount(posting) && posting.month >= from && posting.month <= to
        ? sumOf(posting)
        : [];
    });
    return addUp([...stored, ...added]);
  }

  madeOf<K extends MadeKind>(kind: K, inputId: string): Promise<RecordOf<K>[]> {
    return this.#merged(kind, MADE_OF[kind](inputId), (record) =>
      inputsOf(record).includes(inputId),
    );
  }

  /** Write every change. Afterwards the store must not be used again. */
  async flush(writes: Writes): Promise<void> {
    const sums = new SumChanges();
    for (const [kind, changed] of this.#changes) {
      const table = stateTableOf(kind);
      if (SUMMED_KINDS.has(kind)) {
        await this.#readBefore(kind, [...changed.keys()]);
        for (const [id, record] of changed)
          sums.note(kind, this.#read.get(`${kind}:${id}`) ?? null, record);
      }
      const changes = [...changed];
      const removed = changes.filter(([, record]) => record === null).map(([id]) => id);
      const written = changes.flatMap(([, record]) => (record ? [record] : []));
      if (removed.length > 0) await writes.deleteBy(table.name, 'id', removed);
      await writes.insertMany(
        table.name,
        table.columnNames,
        written.map((record) => rowOf(table, record, canonicalJson(record))),
        ['id'],
      );
      for (const [name, list] of Object.entries(table.lists)) {
        const listName = `${table.name}_${name}`;
        const relisted = written.filter((record) => {
          const before = this.#read.get(`${kind}:${record.id}`);
          return !before || JSON.stringify(list.of(before)) !== JSON.stringify(list.of(record));
        });
        const listed = relisted.map(({ id }) => id).filter((id) => !this.#fresh.has(id));
        await writes.deleteBy(listName, 'ownerId', [...removed, ...listed]);
        const names = ['ownerId', 'value', ...(list.amount ? ['amount'] : [])];
        const rows = relisted.flatMap((record) => listRowsOf(list, record));
        await writes.insertMany(listName, names, rows);
      }
    }
    await sums.write(writes);
    this.#underway = null;
  }

  /** Makes sure that what these records were before is known. */
  async #readBefore(kind: RecordKind, ids: readonly string[]): Promise<void> {
    // The lines of the account are only ever added.
    if (kind === 'posting') return;
    const unread = ids.filter(
      (id) => !this.#read.has(`${kind}:${id}`) && !this.#fresh.has(id.slice(0, ID_LENGTH)),
    );
    for (let from = 0; from < unread.length; from += 1000)
      for (const record of await this.#select(
        kind,
        sql`"id" IN (${join(unread.slice(from, from + 1000))})`,
      ))
        this.#read.set(`${kind}:${record.id}`, record);
    for (const id of unread) {
      const changed = this.#changedUnderway(kind, id);
      if (changed !== undefined) this.#read.set(`${kind}:${id}`, changed);
    }
  }

  #changedUnderway(kind: RecordKind, id: string): AnyRecord | null | undefined {
    return this.#underway ? this.#underway.#changes.get(kind)?.get(id) : undefined;
  }

  #unwritten(kind: RecordKind): (readonly [string, AnyRecord | null])[] {
    return [...(this.#underway ? this.#underway.#changesOf(kind) : []), ...this.#changesOf(kind)];
  }

  #changesOf(kind: RecordKind): Map<string, AnyRecord | null> {
    let ofKind = this.#changes.get(kind);
    if (!ofKind) this.#changes.set(kind, (ofKind = new Map<string, AnyRecord | null>()));
    return ofKind;
  }

  async #owns(kind: RecordKind, id: string, key: string): Promise<boolean> {
    const record = await this.get(kind, id);
    return record !== null && uniqueKeysOf(kind, record).includes(key);
  }

  async #select<K extends RecordKind>(kind: K, where: Sql): Promise<RecordOf<K>[]> {
    const from = raw(`"${stateTableOf(kind).name}"`);
    const rows = await this.#rows.all<{ record: string }>(
      sql`SELECT "record" FROM ${from} WHERE ${where} ORDER BY "id"`,
    );
    return rows.map((row) => JSON.parse(row.record) as RecordOf<K>);
  }

  /** Records the database finds, with the changes so far taken into account. */
  async #merged<K extends RecordKind>(
    kind: K,
    where: Sql,
    matches: (record: RecordOf<K>) => boolean | Promise<boolean>,
  ): Promise<RecordOf<K>[]> {
    const byId = new Map<string, RecordOf<K>>();
    for (const record of await this.#select(kind, where)) byId.set(record.id, record);
    this.#rests.add(`${kind}:`);
    for (const [id, record] of this.#unwritten(kind)) {
      if (record && (await matches(record as RecordOf<K>))) byId.set(id, record as RecordOf<K>);
      else byId.delete(id);
    }
    return [...byId.values()];
  }
}

/** Where each step keeps what it was made of. */
const MADE_OF: Readonly<Record<MadeKind, (inputId: string) => Sql>> = {
  'harvest-lot': (id) => sql`"plotId" = ${id}`,
  ferment: (id) => sql`"id" IN (SELECT "ownerId" FROM "ferment_harvest_lot" WHERE "value" = ${id})`,
  'still-run': (id) =>
    sql`"id" IN (SELECT "ownerId" FROM "still_run_ferment" WHERE "value" = ${id})`,
  'spirit-lot': (id) =>
    sql`"id" IN (SELECT "ownerId" FROM "spirit_lot_still_run" WHERE "value" = ${id})`,
};

const uniqueKey = (kind: RecordKind, key: UniqueKey, value: string) => `${kind}|${key}|${value}`;
function uniqueKeysOf(kind: RecordKind, record: object): string[] {
  const codes = 'code' in record ? [uniqueKey(kind, 'code', record.code as string)] : [];
  const aliases = kind === 'cask' ? (record as RecordOf<'cask'>).aliases : [];
  return [...codes, ...aliases.map((alias) => uniqueKey(kind, 'alias', alias))];
}
