import { Injectable } from '@nestjs/common';
import {
  Act,
  type ImportKind,
  type ImportReport,
  type RecordKind,
  type RecordOf,
} from '@rundlet/contracts';
import { DomainError, rehearseInto, submitAct } from '@rundlet/domain';
import { checkCaskCode, makeCaskCode, normaliseCode } from '@rundlet/identifiers';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { z } from 'zod';
import { Reader } from '../database/reader.ts';
import type { Rows } from '../database/rows.ts';
import type { StateStore } from '../database/state-store.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { ActDoor } from '../journal/act-door.ts';
import type { Actor } from '../platform/actor.ts';
import { casks, regauges } from './cask-imports.ts';
import { Cells } from './cells.ts';
import { readRows, type CsvRow, type RowError } from './csv-rows.ts';
import { idOfContent, type ImportKindReader, type LookUps } from './import-kind.ts';
import {
  ferments,
  harvestLots,
  plots,
  positions,
  spiritLots,
  stillRuns,
} from './lineage-imports.ts';

const READERS: Readonly<Record<ImportKind, ImportKindReader>> = {
  casks,
  regauges,
  plots,
  'harvest-lots': harvestLots,
  ferments,
  'still-runs': stillRuns,
  'spirit-lots': spiritLots,
  positions,
};

/** Rows written in one transaction, and looked up together: others' acts wait no longer than for these. */
const TOGETHER = 200;
/** Records of a row that no later row asks for. */
const LET_GO = ['cask', 'filling', 'filling-event', 'posting', 'gauge'] as const;

type Context = ReturnType<ActDoor['context']>;
/** What becomes of one act of a row. */
type Submit = (act: Act, context: Context) => Promise<unknown>;

/**
 * CSV files of rows: each row becomes acts. The whole file is rehearsed first, and nothing is written when a row is refused. Then
 * it is written some rows at a time, so that others' acts get their turn; a row that one of those came in the way of is left out whole
 * and told. The same file sent again, after it was cut off perhaps, adds the rows that are still missing.
 */
@Injectable()
export class Importer {
  constructor(
    private readonly door: ActDoor,
    private readonly work: UnitOfWork,
    private readonly reader: Reader,
  ) {}

  async run(kind: ImportKind, csv: string, apply: boolean, by: Actor): Promise<ImportReport> {
    const importKind = READERS[kind];
    const { rows, errors } = readRows(csv, importKind);
    const file = new ImportFile(importKind, rows);
    const refused = [...errors, ...(await this.rehearse(file, by))];
    if (!apply || refused.length > 0) return report(rows, refused, false);
    return report(rows, await this.write(file, by), true);
  }

  /** Does everything but write: the changes stay in memory and are forgotten. */
  private async rehearse(file: ImportFile, by: Actor): Promise<RowError[]> {
    const context = this.door.context(this.reader, by);
    const errors: RowError[] = [];
    for (const rows of file.parts()) {
      errors.push(...(await file.submit(rows, context, this.reader, rehearseChecked)));
      context.records.forget(LET_GO);
    }
    return errors;
  }

  private async write(file: ImportFile, by: Actor): Promise<RowError[]> {
    const errors: RowError[] = [];
    file.begin();
    for (const rows of file.parts()) {
      let left = rows;
      for (let refused = await this.writeRows(file, left, by); refused.length > 0;) {
        errors.push(...refused);
        const lines = new Set(refused.map((error) => error.line));
        left = left.filter((row) => !lines.has(row.line));
        refused = await this.writeRows(file, left, by);
      }
    }
    return errors;
  }

  /** Writes all of these rows or, when some are refused, none. */
  private async writeRows(
    file: ImportFile,
    rows: readonly CsvRow[],
    by: Actor,
  ): Promise<RowError[]> {
    try {
      await this.work.write(async (tx) => {
        const context = this.door.context(tx, by);
        const refused = await file.submit(rows, context, tx, submitAct);
        if (refused.length > 0) throw new RowsRefused(refused);
        await context.records.flush(tx);
        await context.journal.flush(tx);
      }, 'journal');
      return [];
    } catch (error) {
      if (error instanceof RowsRefused) return error.errors;
      throw error;
    }
  }
}

/** Nothing of these rows is kept, because of these. */
class RowsRefused extends Error {
  readonly errors: RowError[];
  constructor(errors: RowError[]) {
    super('There are rows that are refused.');
    this.errors = errors;
  }
}

/** The shape of an act is checked once; when it is written it is made of the same text. */
async function rehearseChecked(act: Act, context: Context): Promise<void> {
  const checked = Act.safeParse(act);
  if (!checked.success) throw checked.error;
  await rehearseInto(checked.data, context);
}

/** A file's rows on their way through the rules. */
class ImportFile {
  readonly #kind: ImportKindReader;
  readonly #rows: readonly CsvRow[];
  /** Number of the last code given, by the file or here. */
  readonly #serial = { last: 0 };
  #seen = new Set<string>();

  constructor(kind: ImportKindReader, rows: readonly CsvRow[]) {
    this.#kind = kind;
    this.#rows = rows;
    this.begin();
  }

  /** From the first row again. */
  begin(): void {
    this.#seen = new Set();
    this.#serial.last = lastSerialIn(this.#rows);
  }

  *parts(): Generator<readonly CsvRow[]> {
    for (let from = 0; from < this.#rows.length; from += TOGETHER)
      yield this.#rows.slice(from, from + TOGETHER);
  }

  /** What is wrong with these rows. Acts up to the first that is refused have been submitted. */
  async submit(
    rows: readonly CsvRow[],
    context: Context,
    database: Rows,
    submit: Submit,
  ): Promise<RowError[]> {
    const { records, journal } = context;
    await this.#readAhead(rows, records);
    const named = rows.map((row) => ({ row, ids: this.#idsOf(row) }));
    const present = await journal.present(named.flatMap(({ ids }) => ids ?? []));
    const lookUps = lookUpsIn(context, database, this.#serial);
    const errors: RowError[] = [];
    for (const { row, ids } of named) {
      if (ids && present.has(ids[0] ?? '')) continue;
      const cells = new Cells(row);
      const acts = await this.#kind.acts(cells, lookUps);
      const first = ids?.[0] ?? acts[0]?.id ?? '';
      // Of the same reading twice in a file one is enough; the same code twice is for the rules to refuse.
      const again = this.#seen.has(first);
      this.#seen.add(first);
      if (!ids && (again || (await journal.byId(first)))) acts.length = 0;
      for (const [i, act] of acts.entries()) {
        if (cells.errors.length > 0) break;
        const id = (again ? undefined : ids?.[i]) ?? act.id;
        records.expectNew(id);
        await submitOne(this.#kind, cells, () => submit({ ...act, id }, context));
      }
      errors.push(...cells.errors);
    }
    return errors;
  }

  /**
   * A row that says the code of what it makes gives its acts ids that the same row always gets: sent again it is known. A row to
   * which the program gives a code is another cask each time.
   */
  #idsOf(row: CsvRow): readonly string[] | null {
    if (row.cell('code') === '') return null;
    const columns = [...this.#kind.required, ...this.#kind.optional];
    const content = JSON.stringify(columns.map((column) => row.cell(column)));
    return Array.from({ length: MOST_ACTS }, (_, i) =>
      idOfContent(ROWS_TIME, `${String(i)}${content}`),
    );
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
}

/** A filled cask is registered, its spirit received, and filled. */
const MOST_ACTS = 3;
/** Ids of rows are known by their content; their time says nothing. */
const ROWS_TIME = '1970-01-01T00:00:00.000Z';

async function submitOne(
  importKind: ImportKindReader,
  cells: Cells,
  submit: () => Promise<unknown>,
): Promise<void> {
  try {
    await submit();
  } catch (error) {
    if (error instanceof z.ZodError)
      for (const { path, message } of error.issues)
        cells.fault(columnAt(importKind, path.map(String)), message);
    else if (error instanceof DomainError)
      cells.fault(columnAt(importKind, error.pointer?.split('/') ?? []), error.message);
    else throw error;
  }
}

/** The column that a place in an act came from; null when it is about the row as a whole. */
function columnAt(importKind: ImportKindReader, path: readonly string[]): string | null {
  const columns = [...importKind.required, ...importKind.optional];
  for (const step of [...path].reverse()) {
    const column = importKind.columnOf[step] ?? step;
    if (columns.includes(column)) return column;
  }
  return null;
}

function lookUpsIn(
  { records, receivedAt }: Context,
  database: Rows,
  serial: { last: number },
): LookUps {
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
    async nextCaskCode() {
      if (!asked) serial.last = Math.max(serial.last, await lastCaskSerial(database));
      asked = true;
      serial.last += 1;
      return makeCaskCode(serial.last);
    },
    newId() {
      const id = uuid();
      records.expectNew(id);
      return id;
    },
  };
}
async function lastCaskSerial(database: Rows): Promise<number> {
  const row = await database.one<{ last: number | null }>(
    sql`SELECT MAX("serial") AS "last" FROM "cask"`,
  );
  return row?.last ?? 0;
}

/** Codes the file gives itself, further down perhaps, must not be given to other rows. */
function lastSerialIn(rows: readonly CsvRow[]): number {
  let last = 0;
  for (const row of rows) {
    const check = checkCaskCode(row.cell('code'));
    if (check.status === 'ok') last = Math.max(last, check.serial);
  }
  return last;
}

/** Stands where an id should be in a row that is refused anyway. */
const NOBODY = '00000000-0000-7000-8000-000000000000';

function report(rows: readonly CsvRow[], errors: RowError[], applied: boolean): ImportReport {
  const bad = new Set(errors.map((error) => error.line));
  return {
    rowsRead: rows.length,
    rowsGood: rows.filter((row) => !bad.has(row.line)).length,
    errors: errors.sort((a, b) => a.line - b.line),
    applied,
  };
}
