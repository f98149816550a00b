import type { JournalEntry, RecordKind, RecordOf, VerifyReport } from '@rundlet/contracts';
import { linesOfMonth } from '../account/closing.ts';
import { isOfAccount } from '../account/sums.ts';
import { ethanolMg } from '../liquid/content.ts';
import { AttachmentChecks, type AttachmentLookup } from './attachments.ts';
import { CheckpointChecks, type JournalLookup } from './checkpoint-checks.ts';
import { declaredWaterMg, flowOf } from './flows.ts';
import { MemoryRecords, type TextShelf } from './memory.ts';
import { foldEntry } from './refold.ts';
import {
  canonicalJson,
  entryOf,
  GENESIS_HASH,
  sha256Hex,
  storedHash,
  type Sha256Hex,
  type StoredEntry,
} from './seal.ts';
import type { TrackedStore } from './tracked-store.ts';

const MOST_FAILURES = 50;
/** Most records by number, which later entries hardly ever look at: kept as the text they are compared by. */
const SELDOM_READ: readonly RecordKind[] = [
  'posting',
  'gauge',
  'filling-event',
  'sample',
  'cask-result',
  'label-print',
];

/** A stored state record, as the store has looked at it. */
export interface StoredRecord {
  readonly kind: RecordKind;
  readonly id: string;
  /** What its text hashes to. */
  readonly hash: string;
  /** What is wrong with its row beside the text. */
  readonly fault?: string;
}

export type Fail = (what: string, entry: EntryName | null, record?: string | null) => void;
interface EntryName {
  readonly seq: number;
  readonly id: string | null;
}
/** An entry as a store hands it over, with what it knows of it beside. */
type HandedEntry = StoredEntry & {
  /** What it changed, as canonical JSON. */
  readonly effects?: string | null;
  /** What its texts hash to, where the reader has worked that out. */
  readonly contentHash?: string;
};

export interface VerifyInput {
  /** Every entry in order of `seq`, in portions. */
  readonly entries: AsyncIterable<readonly HandedEntry[]>;
  /** Every stored state record, in any order, in portions. */
  readonly stored: AsyncIterable<readonly StoredRecord[]>;
  readonly lookup: JournalLookup;
  /** What else the store finds wrong with itself once its records have been compared, given how many subjects the entries name. */
  readonly further?: (subjects: number, fail: Fail) => Promise<void>;
  /** Signed checkpoints brought along. */
  readonly checkpoints?: readonly string[];
  /** The bytes of attachments; left out, they are not looked at. */
  readonly attachments?: AttachmentLookup;
  readonly sha256Hex?: Sha256Hex;
  /** Where records are kept that are seldom read again; left out, in plain memory. */
  readonly shelf?: TextShelf;
  readonly onProgress?: (entries: number) => void;
}

/**
 * Check a whole journal: the chain of hashes, that folding it again gives the very bytes stored, that ethanol and water are
 * conserved by every entry, that a cask holds one filling, that attachments are there, and that signed checkpoints fit.
 * Names the first entries and records that fail.
 */
export async function verifyJournal(input: VerifyInput): Promise<VerifyReport> {
  const failures: VerifyReport['failures'] = [];
  const fail: Fail = (what, entry, record = null) => {
    if (failures.length < MOST_FAILURES)
      failures.push({ what, entrySeq: entry?.seq ?? null, entryId: entry?.id ?? null, record });
  };
  const folding = new Folding(fail, input.shelf);
  const checkpoints = new CheckpointChecks(input.lookup, fail);
  let previousHash = GENESIS_HASH;
  let seq = 0;
  for await (const portion of input.entries) {
    for (const stored of portion) {
      seq += 1;
      if (stored.seq !== seq)
        fail(`entry number ${String(seq)} is missing, or another stands in its place`, stored);
      seq = stored.seq;
      if (stored.previousHash !== previousHash)
        fail('the entry does not follow the one before it: its previous hash differs', stored);
      if ((stored.contentHash ?? storedHash(stored, input.sha256Hex)) !== stored.hash)
        fail('the entry was changed: its hash does not fit its content', stored);
      previousHash = stored.hash;
      await folding.fold(stored, stored.effects ?? null);
    }
    input.onProgress?.(seq);
  }

  const { records } = folding;
  if (folding.isWhole) {
    checkFillings(records, fail);
  }
  const attachments = await folding.attachments.run(input.attachments, fail);
  await checkpoints.kept(records);
  await checkpoints.brought(input.checkpoints ?? [], records);
  const conserved = conservation(records, folding, fail);
  const compared = folding.isWhole ? await compareRecords(records, input, fail) : 0;
  if (folding.isWhole) await input.further?.(folding.subjects, fail);
  return {
    entries: seq,
    records: compared,
    ok: failures.length === 0,
    lastHash: previousHash,
    failures,
    attachments,
    conservation: conserved,
    checkpoints: checkpoints.report,
  };
}

/** The state, folded entry by entry, each entry's own laws looked at as it comes. */
class Folding {
  readonly records: MemoryRecords;
  readonly attachments = new AttachmentChecks();
  isWhole = true;
  subjects = 0;
  ethanolInMg = 0;
  ethanolOutMg = 0;
  waterInMg = 0;
  waterOutMg = 0;
  readonly #fail: Fail;

  constructor(fail: Fail, shelf?: TextShelf) {
    this.#fail = fail;
    this.records = new MemoryRecords(SELDOM_READ, shelf);
  }

  async fold(stored: StoredEntry, effects: string | null): Promise<void> {
    if (!this.isWhole) return;
    let entry: JournalEntry;
    let state: TrackedStore;
    try {
      entry = entryOf(stored);
      state = await foldEntry(entry, this.records);
    } catch (error) {
      // What comes after would be folded onto a state that is not there.
      this.isWhole = false;
      this.#fail(
        `the entry cannot be folded: ${error instanceof Error ? error.message : String(error)}`,
        stored,
      );
      return;
    }
    this.attachments.note(entry);
    this.subjects += new Set(entry.subjects).size;
    const made = state.effects;
    if (effects !== null && canonicalJson(made) !== effects)
      this.#fail('what is kept of the entry for taking it back differs from what it did', stored);
    await this.#checkFlow(entry, made);
    await this.#checkClose(made, entry);
    for (const effect of made) if (effect.kind === 'filling') this.#checkHolds(effect.id, stored);
  }

  async #checkFlow(entry: JournalEntry, effects: TrackedStore['effects']): Promise<void> {
    const flow = flowOf(effects, this.records);
    let posted = 0;
    let underSuspension = 0;
    for (const posting of await this.records.postingsOfEntry(entry.id)) {
      const { ethanolMg: mg } = posting;
      posted += mg;
      if (isOfAccount(posting)) underSuspension += mg;
      if (mg > 0) this.ethanolInMg += mg;
      else this.ethanolOutMg -= mg;
    }
    this.records.forgetPostingsOf(entry.id);
    if (flow.ethanolMg !== posted)
      this.#fail(
        `the entry changes what the vessels hold by ${String(flow.ethanolMg)} mg of ethanol and books ${String(posted)} mg`,
        entry,
      );
    else if (flow.suspendedMg !== underSuspension)
      this.#fail(
        `the entry changes what is under duty suspension by ${String(flow.suspendedMg)} mg of ethanol and books ${String(underSuspension)} mg of it`,
        entry,
      );
    const declared = declaredWaterMg(entry);
    if (declared !== null && declared !== flow.waterMg)
      this.#fail(
        `the entry brings ${String(declared)} mg of water by its own account and changes what the vessels hold by ${String(flow.waterMg)} mg`,
        entry,
      );
    if (flow.waterMg > 0) this.waterInMg += flow.waterMg;
    else this.waterOutMg -= flow.waterMg;
  }

  /** The figures a month was closed with are those of the ledger's lines. */
  async #checkClose(effects: TrackedStore['effects'], entry: EntryName): Promise<void> {
    for (const { kind, id } of effects) {
      const close = kind === 'month-close' ? this.records.peek(kind, id) : null;
      if (
        close &&
        canonicalJson(close.lines) !== canonicalJson(await linesOfMonth(this.records, id))
      )
        this.#fail(
          'the month is closed with other figures than its lines come to',
          entry,
          `month-close:${id}`,
        );
    }
  }

  /** A filling that is not emptied is in the one cask that says it holds it. */
  #checkHolds(fillingId: string, entry: EntryName): void {
    const filling = this.records.peek('filling', fillingId);
    if (!filling || filling.status === 'emptied') return;
    if (this.records.peek('cask', filling.caskId)?.fillingId !== fillingId)
      this.#fail(
        'after the entry a filling is in a cask that holds another, or none',
        entry,
        `filling:${fillingId}`,
      );
  }
}

/** Every stored record against the folded one, which is let go once compared; what is left over was not stored. */
async function compareRecords(
  records: MemoryRecords,
  { stored, lookup, sha256Hex: sha = sha256Hex }: VerifyInput,
  fail: Fail,
): Promise<number> {
  let compared = 0;
  const nameOf = async (record: RecordOf<RecordKind> | null): Promise<EntryName | null> => {
    const seq = record && (await lookup.seqOf(record.lastEntryId));
    return seq === null ? null : { seq, id: record?.lastEntryId ?? null };
  };
  for await (const portion of stored)
    for (const { kind, id, hash, fault } of portion) {
      compared += 1;
      const folded = records.hashOf(kind, id, sha);
      const wrong =
        folded === null
          ? 'this state record comes from no entry'
          : folded === hash
            ? fault
            : 'this state record differs from what the journal says';
      if (wrong !== undefined) fail(wrong, await nameOf(records.peek(kind, id)), `${kind}:${id}`);
      records.forget(kind, id);
    }
  let named = 0;
  for (const { kind, record } of records.everything()) {
    if ((named += 1) > MOST_FAILURES) break;
    fail(
      'this state record that the journal makes is not stored',
      await nameOf(record),
      `${kind}:${record.id}`,
    );
  }
  return compared;
}

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

/** Σ postings must be what the vessels hold, to the milligram; and Σ water that came and went what water they hold. */
function conservation(
  records: MemoryRecords,
  { ethanolInMg, ethanolOutMg, waterInMg, waterOutMg }: Folding,
  fail: Fail,
): VerifyReport['conservation'] {
  let ethanolHeldMg = 0;
  let waterHeldMg = 0;
  for (const kind of ['vat', 'filling'] as const)
    for (const { content } of records.all(kind)) {
      ethanolHeldMg += ethanolMg(content);
      waterHeldMg += content.waterMg;
    }
  const differenceMg = ethanolInMg - ethanolOutMg - ethanolHeldMg;
  if (differenceMg !== 0)
    fail(
      `the alcohol account differs from what the vessels hold by ${String(differenceMg)} mg of ethanol`,
      null,
    );
  const waterDifferenceMg = waterInMg - waterOutMg - waterHeldMg;
  if (waterDifferenceMg !== 0)
    fail(
      `the water that came and went differs from what the vessels hold by ${String(waterDifferenceMg)} mg`,
      null,
    );
  return {
    ethanolInMg,
    ethanolHeldMg,
    ethanolOutMg,
    differenceMg,
    waterInMg,
    waterHeldMg,
    waterOutMg,
    waterDifferenceMg,
  };
}
