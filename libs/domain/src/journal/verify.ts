import type { JournalEntry, RecordKind, VerifyReport } from '@rundlet/contracts';
import { ethanolMg } from '../liquid/content.ts';
import { MemoryJournal, MemoryRecords } from './memory.ts';
import { foldEntry } from './refold.ts';
import { canonicalJson, entryHash, GENESIS_HASH, type Sha256Hex } from './seal.ts';

const MOST_FAILURES = 50;

export interface VerifyInput {
  /** Every entry in order of `seq`. */
  readonly entries: AsyncIterable<JournalEntry>;
  /** Every stored state record as its canonical JSON, in any order. */
  readonly stored: AsyncIterable<{ kind: RecordKind; id: string; json: string }>;
  readonly sha256Hex?: Sha256Hex;
  readonly onProgress?: (entries: number) => void;
}

/**
 * Check a whole journal: the chain of hashes, that folding it again gives the very bytes stored, that alcohol is
 * conserved, and that a cask holds one filling. Names the first entries and records that fail.
 */
export async function verifyJournal({
  entries,
  stored,
  sha256Hex,
  onProgress,
}: VerifyInput): Promise<VerifyReport> {
  const failures: VerifyReport['failures'] = [];
  const fail = (what: string, entry: JournalEntry | null, record: string | null = null) => {
    if (failures.length < MOST_FAILURES)
      failures.push({ what, entrySeq: entry?.seq ?? null, entryId: entry?.id ?? null, record });
  };
  const records = new MemoryRecords();
  const journal = new MemoryJournal();
  let previousHash = GENESIS_HASH;
  let seq = 0;
  let folding = true;

  for await (const entry of entries) {
    seq += 1;
    if (entry.seq !== seq)
      fail(`entry number ${String(seq)} is missing, or another stands in its place`, entry);
    seq = entry.seq;
    const { hash, ...rest } = entry;
    if (entry.previousHash !== previousHash)
      fail('the entry does not follow the one before it: its previous hash differs', entry);
    if (entryHash(rest, sha256Hex) !== hash)
      fail('the entry was changed: its hash does not fit its content', entry);
    previousHash = hash;
    if (folding) {
      try {
        const state = await foldEntry(entry, records, journal);
        await journal.append(entry, state.effects);
      } catch (error) {
        folding = false;
        fail(
          `the entry cannot be folded: ${error instanceof Error ? error.message : String(error)}`,
          entry,
        );
      }
    }
    if (seq % 1000 === 0) onProgress?.(seq);
  }

  let compared = 0;
  if (folding) {
    for await (const row of stored) {
      compared += 1;
      const mine = records.peek(row.kind, row.id);
      if (!mine) fail('this state record comes from no entry', null, `${row.kind}:${row.id}`);
      else if (canonicalJson(mine) !== row.json)
        fail(
          'this state record differs from what the journal says',
          await journal.byId((mine as { lastEntryId: string }).lastEntryId),
          `${row.kind}:${row.id}`,
        );
    }
    if (compared < records.size)
      fail(
        `${String(records.size - compared)} state records that the journal makes are not stored`,
        null,
      );
    checkFillings(records, fail);
  }
  return {
    entries: seq,
    records: compared,
    ok: failures.length === 0,
    lastHash: previousHash,
    failures,
    conservation: conservation(records, fail),
  };
}

type Fail = (what: string, entry: JournalEntry | null, record?: string | null) => void;

function checkFillings(records: MemoryRecords, fail: Fail): void {
  const held = new Map<string, string>();
  for (const filling of records.all('filling')) {
    if (filling.status === 'emptied') continue;
    const cask = records.peek('cask', filling.caskId);
    if (cask?.fillingId !== filling.id)
      fail('the filling says it is in a cask that does not hold it', null, `filling:${filling.id}`);
    if (held.has(filling.caskId))
      fail('two fillings are in one cask', null, `cask:${filling.caskId}`);
    held.set(filling.caskId, filling.id);
  }
}

/** Σ postings must be what the vessels hold, to the milligram. */
function conservation(records: MemoryRecords, fail: Fail): VerifyReport['conservation'] {
  let held = 0;
  for (const vat of records.all('vat')) held += ethanolMg(vat.content);
  for (const filling of records.all('filling')) held += ethanolMg(filling.content);
  let into = 0;
  let out = 0;
  for (const { ethanolMg: mg } of records.all('posting')) {
    if (mg > 0) into += mg;
    else out -= mg;
  }
  const differenceMg = into - out - held;
  if (differenceMg !== 0)
    fail(
      `the alcohol account differs from what the vessels hold by ${String(differenceMg)} mg of ethanol`,
      null,
    );
  return { ethanolInMg: into, ethanolHeldMg: held, ethanolOutMg: out, differenceMg };
}
