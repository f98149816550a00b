import { checkCheckpoint, statementIn } from '@rundlet/statements';
import { publicKeyOf } from '../acts/checkpoints.ts';
import type { MemoryRecords } from './memory.ts';
import type { Fail } from './verify.ts';

/** What is asked of the journal beside its entries in order. */
export interface JournalLookup {
  hashOf(seq: number): Promise<string | null>;
  seqOf(entryId: string): Promise<number | null>;
}

/** Whether signed checkpoints are rightly signed and fit the journal as it is now. */
export class CheckpointChecks {
  readonly #lookup: JournalLookup;
  readonly #fail: Fail;
  readonly #keyIds = new Set<string>();
  #kept = 0;
  #brought = 0;
  #lastSeq: number | null = null;

  constructor(lookup: JournalLookup, fail: Fail) {
    this.#lookup = lookup;
    this.#fail = fail;
  }

  get report() {
    return {
      kept: this.#kept,
      brought: this.#brought,
      lastSeq: this.#lastSeq,
      keyIds: [...this.#keyIds].sort(),
    };
  }

  /** Those that are entries of the journal themselves. */
  async kept(records: MemoryRecords): Promise<void> {
    for (const { id, statement } of records.all('checkpoint')) {
      this.#kept += 1;
      await this.#check(statement, records, `checkpoint:${id}`, id);
    }
  }

  /** Those kept outside, where whoever could change the journal could not reach them. */
  async brought(letters: readonly string[], records: MemoryRecords): Promise<void> {
    for (const [i, letter] of letters.entries()) {
      this.#brought += 1;
      const name = `checkpoint ${String(i + 1)} brought along`;
      const statement = statementIn(letter);
      if (statement === null) this.#fail('no signed text is in it', null, name);
      else await this.#check(statement, records, name, null);
    }
  }

  async #check(
    statement: string,
    records: MemoryRecords,
    name: string,
    entryId: string | null,
  ): Promise<void> {
    const seq = entryId === null ? null : await this.#lookup.seqOf(entryId);
    const entry = entryId === null || seq === null ? null : { id: entryId, seq };
    const checked = checkCheckpoint(statement, records.all('signing-key').map(publicKeyOf));
    if (checked.status !== 'good') {
      this.#fail(checked.reason, entry, name);
      return;
    }
    this.#keyIds.add(checked.kid);
    const { checkpoint } = checked;
    this.#lastSeq = Math.max(this.#lastSeq ?? 0, checkpoint.seq);
    const hash = await this.#lookup.hashOf(checkpoint.seq);
    if (hash !== checkpoint.hash)
      this.#fail(
        `the checkpoint of ${checkpoint.at} was signed over another journal: entry ${String(checkpoint.seq)} ${hash === null ? 'is no longer there' : 'or one before it has been changed since'}`,
        entry ?? (hash === null ? null : { seq: checkpoint.seq, id: '' }),
        name,
      );
  }
}
