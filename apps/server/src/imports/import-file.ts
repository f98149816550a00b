import { Act, type RecordKind, type RecordOf } from '@rundlet/contracts';
import { DomainError, prepareAct, type Prepared, type SubmitContext } from '@rundlet/domain';
import { checkCaskCode, makeCaskCode, normaliseCode } from '@rundlet/identifiers';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { z } from 'zod';
import type { JournalRows } from '../database/journal-rows.ts';
import type { Rows } from '../database/rows.ts';
import type { StateStore } from '../database/state-store.ts';
import { Cells } from './cells.ts';
import { readRows, type CsvRow, type RowError } from './csv-rows.ts';
import { idsOfContent, type ImportKindReader, type LookUps } from './import-kind.ts';

/** Rows decided, looked up and written together: others' acts wait no longer than for these. */
const TOGETHER = 500;
/** A filled cask is registered, its spirit received, and filled. */
const MOST_ACTS = 3;

export type Context = SubmitContext & { records: StateStore; journal: JournalRows };

/** A file's rows on their way through the rules; what it holds in memory is some of them at a time. */
export class ImportFile {
  readonly #kind: ImportKindReader;
  readonly #open: () => AsyncIterable<string>;
  readonly #database: Rows;
  #lastInFile = 0;
  /** Number of the last code given, by the file or here. */
  #serial = 0;
  /** On which line each id of a row was first met. */
  #seen = new Map<string, number>();

  constructor(kind: ImportKindReader, open: () => AsyncIterable<string>, database: Rows) {
    this.#kind = kind;
    this.#open = open;
    this.#database = database;
  }

  /** How many rows there are, and what is wrong with the lines that can't be read as rows. */
  async scan(): Promise<{ rows: number; errors: RowError[] }> {
    let count = 0;
    const found: RowError[] = [];
    for await (const { rows, errors } of readRows(this.#open(), this.#kind)) {
      count += rows.length;
      found.push(...errors);
      // Codes the file gives itself, further down perhaps, must not be given to other rows.
      for (const row of rows)
        this.#lastInFile = Math.max(this.#lastInFile, serialOf(row.cell('code')));
    }
    return { rows: count, errors: found };
  }

  /** From the first row, some at a time. */
  async *parts(): AsyncGenerator<readonly CsvRow[]> {
    this.#seen = new Map();
    this.#serial = this.#lastInFile;
    let waiting: CsvRow[] = [];
    for await (const { rows } of readRows(this.#open(), this.#kind)) {
      waiting = waiting.length === 0 ? [...rows] : waiting.concat(rows);
      while (waiting.length >= TOGETHER) yield waiting.splice(0, TOGETHER);
    }
    if (waiting.length > 0) yield waiting;
  }

  /** The number of the last code given, to go back to when rows are decided again. */
  get serial(): number {
    return this.#serial;
  }
  set serial(last: number) {
    this.#serial = last;
  }

  /**
   * Decides these rows: what is wrong with them, and the entries of their acts up to the first that is refused. The shape of
   * an act needs checking once; when it is decided again it is made of the same text.
   */
  async decide(
    rows: readonly CsvRow[],
    context: Context,
    checkShape: boolean,
  ): Promise<{ errors: RowError[]; prepared: Prepared[] }> {
    const { records, journal } = context;
    await this.#readAhead(rows, records);
    const named = rows.map((row) => ({ row, ids: this.#idsOf(row) }));
    const present = await journal.present(named.flatMap(({ ids }) => ids ?? []));
    const lookUps = this.#lookUpsIn(context);
    const errors: RowError[] = [];
    const prepared: Prepared[] = [];
    for (const { row, ids } of named) {
      if (ids && present.has(ids[0] ?? '')) continue;
      const cells = new Cells(row);
      const acts = await this.#kind.acts(cells, lookUps);
      const first = ids?.[0] ?? acts[0]?.id ?? '';
      // Of the same reading twice in a file one is enough; the same code twice is for the rules to refuse.
      const again = first !== '' && this.#isAgain(first, row.line);
      if (!ids && first !== '' && (again || (await journal.byId(first)))) acts.length = 0;
      for (const [i, act] of acts.entries()) {
        if (cells.errors.length > 0) break;
        const id = (again ? undefined : ids?.[i]) ?? (act.id || uuid());
        records.expectNew(id);
        await this.#faultsOf(cells, async () => {
          const one = { ...act, id };
          prepared.push(await prepareAct(checkShape ? Act.parse(one) : one, context));
        });
      }
      for (const error of cells.errors) errors.push(error);
    }
    return { errors, prepared };
  }

  #isAgain(id: string, line: number): boolean {
    const at = this.#seen.get(id);
    if (at === undefined) this.#seen.set(id, line);
    return at !== undefined && at !== line;
  }

  /**
   * A row that says the code of what it makes gives its acts ids that the same row always gets: sent again it is known. A row to
   * which the program gives a code is another cask each time. The ids' time is the code's number, so that rows in the order of their
   * codes lie beside each other in the database.
   */
  #idsOf(row: CsvRow): readonly string[] | null {
    const code = row.cell('code');
    if (code === '') return null;
    const columns = [...this.#kind.required, ...this.#kind.optional];
    const content = JSON.stringify(columns.map((column) => row.cell(column)));
    return idsOfContent(serialOf(code) * MOST_ACTS, content, MOST_ACTS);
  }

  async #readAhead(rows: readonly CsvRow[], records: StateStore): Promise<void> {
    for (const [column, kind] of Object.entries(this.#kind.codesOf ?? {})) {
      const texts = rows.flatMap((row) => row.cell(column).split(';'));
      const values = [...new Set(texts.map((text) => text.trim()))];
      await records.readAhead(kind, 'code', [
        ...new Set(kind === 'cask' ? [...values, ...values.map(normaliseCode)] : values),
      ]);
      if (kind === 'cask') await records.readAhead('cask', 'alias', values);
    }
  }

  async #faultsOf(cells: Cells, work: () => Promise<void>): Promise<void> {
    try {
      await work();
    } catch (error) {
      if (error instanceof z.ZodError)
        for (const { path, message } of error.issues)
          cells.fault(this.#columnAt(path.map(String)), message);
      else if (error instanceof DomainError)
        cells.fault(this.#columnAt(error.pointer?.split('/') ?? []), error.message);
      else throw error;
    }
  }

  /** The column that a place in an act came from; null when it is about the row as a whole. */
  #columnAt(path: readonly string[]): string | null {
    const columns = [...this.#kind.required, ...this.#kind.optional];
    for (const step of [...path].reverse()) {
      const column = this.#kind.columnOf[step] ?? step;
      if (columns.includes(column)) return column;
    }
    return null;
  }

  #lookUpsIn({ records, receivedAt }: Context): LookUps {
    let asked = false;
    return {
      now: receivedAt,
      record: <K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null> =>
        records.get(kind, id),
      async idByCode(cells, column, kind, code) {
        const id = await records.idByUnique(kind, 'code', code);
        if (id === null && code !== '')
          cells.fault(column, `there is no ${kind.replaceAll('-', ' ')} ${code}`);
        return id ?? NOBODY;
      },
      async caskId(cells, column) {
        const text = cells.text(column);
        const id =
          (await records.idByUnique('cask', 'code', normaliseCode(text))) ??
          (await records.idByUnique('cask', 'alias', text));
        if (id === null && text !== '')
          cells.fault(column, `no cask has the code or the number ${text}`);
        return id ?? NOBODY;
      },
      nextCaskCode: async () => {
        if (!asked) this.#serial = Math.max(this.#serial, await lastCaskSerial(this.#database));
        asked = true;
        this.#serial += 1;
        return makeCaskCode(this.#serial);
      },
      newId() {
        const id = uuid();
        records.expectNew(id);
        return id;
      },
    };
  }
}

async function lastCaskSerial(database: Rows): Promise<number> {
  const row = await database.one<{ last: number | null }>(
    sql`SELECT MAX("serial") AS "last" FROM "cask"`,
  );
  return row?.last ?? 0;
}

function serialOf(code: string): number {
  const check = checkCaskCode(code);
  return check.status === 'ok' ? check.serial : 0;
}

/** Stands where an id should be in a row that is refused anyway. */
const NOBODY = '00000000-0000-7000-8000-000000000000';
