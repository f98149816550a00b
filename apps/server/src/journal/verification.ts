import type { VerifyReport } from '@rundlet/contracts';
import { verifyJournal, type Fail, type StoredRecord } from '@rundlet/domain';
import { AttachmentFiles } from './attachment-files.ts';
import { sha256Hex } from './sha256.ts';
import type { StateFault, StatePortion } from './stored-state.ts';
import { BytesShelf } from './text-shelf.ts';
import { openSource, type StraySubject, type VerificationSource } from './verification-source.ts';
import { readInThread } from './verification-thread.ts';

const HASH_LENGTH = 64;

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
  try {
    const last = await source.lastSeq();
    const faults: StateFault[] = [];
    const entries = ahead(source.entries());
    const subjectsMissing = source.subjectsMissing();
    return await verifyJournal({
      entries,
      stored: recordsOf(source.state(), faults),
      shelf: new BytesShelf(),
      lookup: source,
      further: async (subjects, fail) => {
        for (const { what, record } of faults) fail(what, null, record);
        await compareSubjects(source, subjectsMissing, subjects, fail);
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

/** The table by which entries are found by what they are about: as many rows as the entries name, and each of them there. */
async function compareSubjects(
  source: VerificationSource,
  missing: AsyncIterable<readonly StraySubject[]>,
  subjects: number,
  fail: Fail,
): Promise<void> {
  for await (const portion of missing)
    for (const { seq, subject } of portion)
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

/** The records as the fold is held against them; what is wrong with the tables beside them is noted on the way. */
async function* recordsOf(
  state: AsyncIterable<StatePortion>,
  faults: StateFault[],
): AsyncGenerator<readonly StoredRecord[]> {
  for await (const { kind, ids, hashes, columnsDiffer, faults: found } of state) {
    faults.push(...found);
    const differ = new Set(columnsDiffer);
    yield (JSON.parse(ids) as string[]).map((id, i) => ({
      kind,
      id,
      hash: hashes.slice(i * HASH_LENGTH, (i + 1) * HASH_LENGTH),
      ...(differ.has(i)
        ? { fault: 'a column beside this state record differs from what the journal says' }
        : {}),
    }));
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
