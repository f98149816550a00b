import type { JournalEntry } from '@rundlet/contracts';
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import { canonicalJson } from '@rundlet/statements';

/** Hash that stands before the first entry. */
export const GENESIS_HASH = '0'.repeat(64);

/** SHA-256 of a text's UTF-8 bytes, in lower-case hex. Hosts may hand in a faster one with the same answers. */
export type Sha256Hex = (text: string) => string;
export const sha256Hex: Sha256Hex = (text) => bytesToHex(sha256(utf8ToBytes(text)));

export { canonicalJson };

/** The entry's hash covers all of it but itself, the hash before it included: change one byte and the chain breaks here. */
export function entryHash(entry: Omit<JournalEntry, 'hash'>, sha: Sha256Hex = sha256Hex): string {
  return sha(canonicalJson(entry));
}

/** As {@link canonicalJson} read back: undefined members gone, so that what is folded now equals what is folded from storage. */
export function asStored<T>(value: T): T {
  return JSON.parse(JSON.stringify(value)) as T;
}

/** An entry as a store keeps it: its documents as the canonical JSON they were sealed in. */
export interface StoredEntry extends Omit<JournalEntry, 'body' | 'outcome' | 'subjects'> {
  readonly body: string;
  readonly outcome: string;
  readonly subjects: string;
}

/** The documents of an entry as they are stored; it need not have its place in the chain yet. */
export function storedForm<E extends Pick<JournalEntry, 'body' | 'outcome' | 'subjects'>>(
  entry: E,
): Omit<E, 'body' | 'outcome' | 'subjects'> & Pick<StoredEntry, 'body' | 'outcome' | 'subjects'> {
  return {
    ...entry,
    body: canonicalJson(entry.body),
    outcome: canonicalJson(entry.outcome),
    subjects: canonicalJson(entry.subjects),
  };
}

/** An entry from its stored form. */
export function entryOf(stored: StoredEntry): JournalEntry {
  return {
    seq: stored.seq,
    id: stored.id,
    kind: stored.kind,
    happenedAt: stored.happenedAt,
    receivedAt: stored.receivedAt,
    actorId: stored.actorId,
    deviceId: stored.deviceId,
    body: JSON.parse(stored.body) as JournalEntry['body'],
    outcome: JSON.parse(stored.outcome) as JournalEntry['outcome'],
    subjects: JSON.parse(stored.subjects) as string[],
    previousHash: stored.previousHash,
    hash: stored.hash,
  };
}

/**
 * The hash of an entry from the very texts that are stored: what {@link entryHash} gives while they are canonical, and
 * something else as soon as one byte of them is another, a space that a parser would overlook included.
 */
export function storedHash(e: StoredEntry, sha: Sha256Hex = sha256Hex): string {
  const text = (value: string | null) => JSON.stringify(value);
  return sha(
    `{"actorId":${text(e.actorId)},"body":${e.body},"deviceId":${text(e.deviceId)},"happenedAt":${text(e.happenedAt)},"id":${text(e.id)},"kind":${text(e.kind)},"outcome":${e.outcome},"previousHash":${text(e.previousHash)},"receivedAt":${text(e.receivedAt)},"seq":${String(e.seq)},"subjects":${e.subjects}}`,
  );
}
