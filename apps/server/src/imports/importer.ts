import { Injectable } from '@nestjs/common';
import {
  Act,
  type ImportKind,
  type ImportReport,
  type RecordKind,
  type RecordOf,
} from '@rundlet/contracts';
import { DomainError, submitAct, type SubmitContext } from '@rundlet/domain';
import { checkCaskCode, makeCaskCode, normaliseCode } from '@rundlet/identifiers';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import type { Rows } from '../database/rows.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { ActDoor } from '../journal/act-door.ts';
import type { Actor } from '../platform/actor.ts';
import { casks, regauges } from './cask-imports.ts';
import { Cells } from './cells.ts';
import { readRows, type CsvRow, type RowError } from './csv-rows.ts';
import type { ImportKindReader, LookUps } from './import-kind.ts';
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

/** Nothing of the file is kept, because of these. */
class RowsRefused extends Error {
  readonly errors: RowError[];
  constructor(errors: RowError[]) {
    super('The file has rows that are refused.');
    this.errors = errors;
  }
}

/** CSV files of rows: each row becomes acts, and all of them are applied or none. */
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
    const read = errors.length > 0 ? await this.rehearse(importKind, rows, by) : null;
    if (read) return report(rows, [...errors, ...read], false);
    if (!apply) return report(rows, await this.rehearse(importKind, rows, by), false);
    try {
      await this.work.write(async (tx) => {
        const context = this.door.context(tx, by);
        const refused = await submitRows(importKind, rows, context, tx);
        if (refused.length > 0) throw new RowsRefused(refused);
        await context.records.flush(tx);
        await context.journal.flush(tx);
      }, 'journal');
    } catch (error) {
      if (error instanceof RowsRefused) return report(rows, error.errors, false);
      throw error;
    }
    return report(rows, [], true);
  }

  /** Does everything but write: the changes stay in memory and are forgotten. */
  private rehearse(
    importKind: ImportKindReader,
    rows: readonly CsvRow[],
    by: Actor,
  ): Promise<RowError[]> {
    return submitRows(importKind, rows, this.door.context(this.reader, by), this.reader);
  }
}

async function submitRows(
  importKind: ImportKindReader,
  rows: readonly CsvRow[],
  context: SubmitContext,
  database: Rows,
): Promise<RowError[]> {
  const lookUps = lookUpsIn(context, database, rows);
  const errors: RowError[] = [];
  for (const row of rows) {
    const cells = new Cells(row);
    const acts = await importKind.acts(cells, lookUps);
    for (const act of acts) {
      if (cells.errors.length > 0) break;
      await submitOne(importKind, act, cells, context);
    }
    errors.push(...cells.errors);
  }
  return errors;
}

async function submitOne(
  importKind: ImportKindReader,
  act: Act,
  cells: Cells,
  context: SubmitContext,
): Promise<void> {
  const checked = Act.safeParse(act);
  if (!checked.success) {
    for (const { path, message } of checked.error.issues)
      cells.fault(columnAt(importKind, path.map(String)), message);
    return;
  }
  try {
    await submitAct(checked.data, context);
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    cells.fault(columnAt(importKind, error.pointer?.split('/') ?? []), error.message);
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
  { records, receivedAt }: SubmitContext,
  database: Rows,
  rows: readonly CsvRow[],
): LookUps {
  let lastSerial: number | null = null;
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
      lastSerial ??= serialsIn(rows).reduce(
        (most, serial) => Math.max(most, serial),
        await lastCaskSerial(database),
      );
      lastSerial += 1;
      return makeCaskCode(lastSerial);
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
function serialsIn(rows: readonly CsvRow[]): number[] {
  return rows.flatMap((row) => {
    const check = checkCaskCode(row.cells.get('code') ?? '');
    return check.status === 'ok' ? [check.serial] : [];
  });
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
