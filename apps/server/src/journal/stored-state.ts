/**
 * Reads the state tables for a verification: each record's text is hashed, to be held against the journal by whoever folds it,
 * and all that is kept beside the records (columns, lists, sums) is held against the records themselves.
 */
import type { RecordKind, RecordOf } from '@rundlet/contracts';
import sql, { join, raw } from 'sql-template-tag';
import type { Dialect } from '../database/column-types.ts';
import type { Rows } from '../database/rows.ts';
import { listRowsOf, type List } from '../database/state-table.ts';
import { STATE_TABLES, stateTableOf } from '../database/state-tables.ts';
import { columnsOfSum, SUM_TABLES, SumChanges } from '../database/sums.ts';
import { sha256Hex } from './sha256.ts';

/** Rows read at once: few enough that they are gone before the garbage collector has to carry them along. */
export const CHUNK = 300;
export const MOST_NAMED = 50;

/** Something wrong with a table beside the records. */
export interface StateFault {
  readonly what: string;
  readonly record: string;
}
/** Some records of one kind, in few large texts: hundreds of thousands wait for the fold to end. */
export interface StatePortion {
  readonly kind: RecordKind;
  /** Their ids, as JSON. */
  readonly ids: string;
  /** What their texts hash to, one after another. */
  readonly hashes: string;
  /** Those, by their number in the portion, whose columns are not those of their record. */
  readonly columnsDiffer: readonly number[];
  readonly faults: readonly StateFault[];
}
type AnyRecord = RecordOf<RecordKind>;
type StateRow = Record<string, unknown> & { id: string; record: string };

export async function* storedState(rows: Rows, dialect: Dialect): AsyncGenerator<StatePortion> {
  const sums = new SumChanges();
  for (const kind of Object.keys(STATE_TABLES) as RecordKind[]) {
    const { name, fields, lists } = stateTableOf(kind);
    const columns = Object.entries(fields);
    const selected = join(
      ['id', 'record', ...Object.keys(fields)].map((column) => raw(`"${column}"`)),
    );
    const expected = Object.entries(lists).map(([list, of]) => new ExpectedRows(kind, list, of));
    const look = (row: StateRow): boolean => {
      try {
        const record = JSON.parse(row.record) as AnyRecord;
        for (const list of expected) list.note(record);
        sums.note(kind, null, record);
        return columns.every(([column, { of }]) => {
          const value = of(record);
          // SQLite keeps truth values as 1 and 0.
          return (
            row[column] ===
            (typeof value === 'boolean' && dialect === 'sqlite' ? Number(value) : value)
          );
        });
      } catch {
        // No record of this kind: its text can't be what the journal says, or its columns can't.
        return false;
      }
    };
    for (let after = ''; ;) {
      const chunk = await rows.all<StateRow>(
        sql`SELECT ${selected} FROM ${raw(`"${name}"`)} WHERE "id" > ${after} ORDER BY "id" LIMIT ${CHUNK}`,
      );
      const last = chunk.at(-1);
      if (!last) break;
      yield {
        kind,
        ids: JSON.stringify(chunk.map((row) => row.id)),
        hashes: chunk.map((row) => sha256Hex(row.record)).join(''),
        columnsDiffer: chunk.flatMap((row, i) => (look(row) ? [] : [i])),
        faults: [],
      };
      after = last.id;
    }
    for (const list of expected) yield { ...NO_RECORDS, kind, faults: await list.compare(rows) };
  }
  yield { ...NO_RECORDS, kind: 'posting', faults: await compareSums(rows, sums) };
}
const NO_RECORDS = { ids: '[]', hashes: '', columnsDiffer: [] };

/** The table of a many-valued column: every row must come from a record, and every value of a record must have its row. */
class ExpectedRows {
  readonly #kind: RecordKind;
  readonly #table: string;
  readonly #list: List<AnyRecord>;
  readonly #rows = new Set<string>();

  constructor(kind: RecordKind, name: string, list: List<AnyRecord>) {
    this.#kind = kind;
    this.#table = `${stateTableOf(kind).name}_${name}`;
    this.#list = list;
  }

  note(record: AnyRecord): void {
    for (const row of listRowsOf(this.#list, record)) this.#rows.add(JSON.stringify(row));
  }

  async compare(rows: Rows): Promise<StateFault[]> {
    const faults: StateFault[] = [];
    const fault = (what: string, ownerId: string) => {
      if (faults.length < 2 * MOST_NAMED)
        faults.push({
          what: `a row of the table ${this.#table} ${what}`,
          record: `${this.#kind}:${ownerId}`,
        });
    };
    for await (const row of this.#stored(rows))
      if (!this.#rows.delete(JSON.stringify(row)))
        fault('differs from what the journal says', String(row[0]));
    for (const missing of [...this.#rows].slice(0, MOST_NAMED))
      fault('is missing', (JSON.parse(missing) as string[])[0] ?? '');
    return faults;
  }

  async *#stored(rows: Rows): AsyncGenerator<readonly (string | number)[]> {
    const withAmount = this.#list.amount !== undefined;
    const columns = raw(`"ownerId", "value"${withAmount ? ', "amount"' : ''}`);
    let [owner, value] = ['', ''];
    for (;;) {
      const chunk = await rows.all<{ ownerId: string; value: string; amount?: number }>(
        sql`SELECT ${columns} FROM ${raw(`"${this.#table}"`)} WHERE "ownerId" > ${owner} OR ("ownerId" = ${owner} AND "value" > ${value}) ORDER BY "ownerId", "value" LIMIT ${CHUNK}`,
      );
      const last = chunk.at(-1);
      if (!last) return;
      for (const row of chunk)
        yield [row.ownerId, row.value, ...(withAmount ? [row.amount ?? 0] : [])];
      [owner, value] = [last.ownerId, last.value];
    }
  }
}

/** The sums that are kept, but for those that are nothing, are what the records add up to. */
async function compareSums(rows: Rows, sums: SumChanges): Promise<StateFault[]> {
  const faults: StateFault[] = [];
  for (const { name } of SUM_TABLES) {
    const expected = new Set(sums.rowsOf(name).map((row) => JSON.stringify(row)));
    const stored = await rows.all<Record<string, string | number>>(
      sql`SELECT * FROM ${raw(`"${name}"`)}`,
    );
    const beside = stored
      .map((row) => columnsOfSum(name).map((column) => row[column] ?? ''))
      .filter((row) => row.some((value) => typeof value === 'number' && value !== 0))
      .map((row) => JSON.stringify(row))
      .filter((row) => !expected.delete(row));
    for (const record of [...beside, ...expected].slice(0, MOST_NAMED))
      faults.push({
        what: `a row of the table ${name} is not what the records add up to`,
        record,
      });
  }
  return faults;
}
