import type { JournalEntry } from '@rundlet/contracts';
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import canonicalize from 'canonicalize';

/** Hash that stands before the first entry. */
export const GENESIS_HASH = '0'.repeat(64);

/** SHA-256 of a text's UTF-8 bytes, in lower-case hex. Hosts may hand in a faster one with the same answers. */
export type Sha256Hex = (text: string) => string;
export const sha256Hex: Sha256Hex = (text) => bytesToHex(sha256(utf8ToBytes(text)));

/** RFC 8785 canonical JSON: sorted keys, no spaces, ECMAScript numbers. @throws TypeError on what JSON cannot hold */
export function canonicalJson(value: unknown): string {
  const text = (canonicalize as unknown as (v: unknown) => string | undefined)(value);
  if (text === undefined) throw new TypeError('This value has no JSON form.');
  return text;
}

/** The entry's hash covers all of it but itself, the hash before it included: change one byte and the chain breaks here. */
export function entryHash(entry: Omit<JournalEntry, 'hash'>, sha: Sha256Hex = sha256Hex): string {
  return sha(canonicalJson(entry));
}

/** As {@link canonicalJson} read back: undefined members gone, so that what is folded now equals what is folded from storage. */
export function asStored<T>(value: T): T {
  return JSON.parse(JSON.stringify(value)) as T;
}
