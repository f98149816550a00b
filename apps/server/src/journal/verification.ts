import type { RecordKind, VerifyReport } from '@rundlet/contracts';
import { verifyJournal, type Fail, type MemoryRecords } from '@rundlet/domain';
import { dialectOf } from '../database/data-source.ts';
import { listRowsOf } from '../database/state-table.ts';
import { STATE_TABLES, stateTableOf } from '../database/state-tables.ts';
import { SUM_TABLES, SUMMED_KINDS, SumChanges } from '../database/sums.ts';
import { AttachmentFiles } from './attachment-files.ts';
import { sha256Hex } from './sha256.ts';
import { openSource, type VerificationSource } from './verification-source.ts';
import { readInThread } from './verification-thread.ts';

const MOST_NAMED = 50;

export interface VerifyOptions {
  readonly checkpoints?: readonly string[];
  /** Where the attachments lie; left out, their bytes are not looked at. */
  readonly dataFolder?: string;
  readonly onProgress?: (share: number | null, entries: number) => void;
  /** A worker file that serves reading: then one thread reads and hashes while this one folds. */
  readonly readingThread?: URL;
}

/** Checks a database's journal and state as they stand at one moment. */
export async function verifyDatabase(
  url: string,
  { checkpoints = [], dataFolder, onProgress, readingThread }: VerifyOptions = {},
): Promise<VerifyReport> {
  const source = readingThread ? readInThread(url, readingThread) : await openSource(url);
  const dialect = dialectOf(url);
  try {
    const last = await source.lastSeq();
    return await verifyJournal({
      entries: ahead(source.entries()),
      stored: ahead(source.records()),
      lookup: source,
      // SQLite keeps truth values as 1 and 0.
      columnsOf: (kind, record) =>
        Object.values(stateTableOf(kind).fields).map((field) => {
          const value = field.of(record);
          return typeof value === 'boolean' && dialect === 'sqlite' ? Number(value) : value;
        }),
      further: async (folded, subjects, fail) => {
        await compareLists(source, folded, fail);
        await compareSubjects(source, subjects, fail);
        await compareSums(source, folded, fail);
      },
      checkpoints,
      ...(dataFolder === undefined ? {} : { attachments: new AttachmentFiles(dataFolder) }),
      sha256Hex,
      onProgress: (entries) => onProgress?.(last ? entries / last : null, entries),
    });
  } finally {
    await source.close();
  }
}

/** The tables of many-valued columns: every row must come from a record, and every value of a record must have its row. */
async function compareLists(
  source: VerificationSource,
  folded: MemoryRecords,
  fail: Fail,
): Promise<void> {
  for (const kind of Object.keys(STATE_TABLES) as RecordKind[]) {
    const table = stateTableOf(kind);
    for (const [name, list] of Object.entries(table.lists)) {
      const expected = new Set<string>();
      for (const record of folded.all(kind))
        for (const row of listRowsOf(list, record)) expected.add(JSON.stringify(row));
      for await (const portion of ahead(source.listRows(kind, name)))
        for (const row of portion)
          if (!expected.delete(JSON.stringify(row)))
            fail(
              `a row of the table ${table.name}_${name} differs from what the journal says`,
              null,
              `${kind}:${String(row[0])}`,
            );
      for (const missing of [...expected].slice(0, MOST_NAMED))
        fail(
          `a row of the table ${table.name}_${name} is missing`,
          null,
          `${kind}:${(JSON.parse(missing) as string[])[0] ?? ''}`,
        );
    }
  }
}

/** The table by which entries are found by what they are about: as many rows as the entries name, and each of them there. */
async function compareSubjects(
  source: VerificationSource,
  subjects: number,
  fail: Fail,
): Promise<void> {
  for (const { seq, subject } of await source.subjectsMissing())
    fail(
      'the entry is not listed under what it is about: its row in the table journal_subject is missing',
      { seq, id: null },
      subject,
    );
  if ((await source.subjectRows()) === subjects) return;
  for (const { seq, subject } of await source.subjectsBeside())
    fail(
      'a row of the table journal_subject lists an entry under what it is not about',
      { seq, id: null },
      subject,
    );
}

/** The sums that are kept are what the records add up to. */
async function compareSums(
  source: VerificationSource,
  folded: MemoryRecords,
  fail: Fail,
): Promise<void> {
  const sums = new SumChanges();
  for (const kind of SUMMED_KINDS)
    for (const record of folded.all(kind)) sums.note(kind, null, record);
  for (const { name } of SUM_TABLES) {
    const expected = new Set(sums.rowsOf(name).map((row) => JSON.stringify(row)));
    const stored = (await source.sumRows(name)).map((row) => JSON.stringify(row));
    const beside = stored.filter((row) => !expected.delete(row));
    for (const row of [...beside, ...expected].slice(0, MOST_NAMED))
      fail(`a row of the table ${name} is not what the records add up to`, null, row);
  }
}

/** Reads the next portion while the one before is being worked on. */
async function* ahead<T>(portions: AsyncIterable<T>): AsyncGenerator<T> {
  const iterator = portions[Symbol.asyncIterator]();
  let next = iterator.next();
  for (;;) {
    const portion = await next;
    if (portion.done === true) return;
    next = iterator.next();
    // A failure meanwhile is told when its turn comes.
    next.catch(() => undefined);
    yield portion.value;
  }
}
