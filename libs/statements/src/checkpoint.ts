import { z } from 'zod';
import { checkStatement, unverifiedPayload, type Checked } from './jws.ts';
import type { PublicKey } from './jwk.ts';

/** What a checkpoint says: that the journal had this entry as its last, with this hash, at this time. */
export const Checkpoint = z.strictObject({
  says: z.literal('journal-checkpoint'),
  estate: z.string(),
  /** Number of the last entry. */
  seq: z.int().min(0),
  /** Its hash, which covers every entry before it. */
  hash: z.string().regex(/^[0-9a-f]{64}$/),
  at: z.iso.datetime(),
});
export type Checkpoint = z.infer<typeof Checkpoint>;

export type CheckedCheckpoint =
  | { readonly status: 'good'; readonly kid: string; readonly checkpoint: Checkpoint }
  | Exclude<Checked, { status: 'good' }>;

/** Whether this is a checkpoint signed by one of these keys. */
export function checkCheckpoint(statement: string, keys: readonly PublicKey[]): CheckedCheckpoint {
  const checked = checkStatement(statement, keys);
  if (checked.status !== 'good') return checked;
  const parsed = Checkpoint.safeParse(checked.payload);
  return parsed.success
    ? { status: 'good', kid: checked.kid, checkpoint: parsed.data }
    : { status: 'bad', reason: 'It is rightly signed, but it is not a checkpoint of a journal.' };
}

const BEGIN = '-----BEGIN SIGNED STATEMENT-----';
const END = '-----END SIGNED STATEMENT-----';
const LINE = 64;

/** A checkpoint for paper or mail: told in words, then the signed text in lines. @throws RangeError when it is none */
export function checkpointLetter(statement: string, kid: string): string {
  const { estate, seq, hash, at } = readCheckpoint(statement);
  return [
    `${estate}: checkpoint of the journal`,
    '',
    `Entries:    ${String(seq)}`,
    `Made at:    ${at}`,
    `Last hash:  ${grouped(hash)}`,
    `Key:        ${kid}`,
    '',
    'Whoever keeps this sheet can tell later whether any of these entries was changed:',
    'rundlet verify --checkpoint FILE compares it with the journal as it then is.',
    '',
    BEGIN,
    ...(statement.match(new RegExp(`.{1,${String(LINE)}}`, 'g')) ?? []),
    END,
    '',
  ].join('\n');
}

/** The signed text in a letter, a mail with more around it, or the bare text itself; null when there is none. */
export function statementIn(letter: string): string | null {
  const framed = letter.includes(BEGIN)
    ? letter.slice(letter.indexOf(BEGIN) + BEGIN.length, letter.indexOf(END))
    : letter;
  // Mail programs quote with "> " and break lines.
  const joined = framed.replace(/[>\s]/g, '');
  return /^[\w-]+\.[\w-]+\.[\w-]+$/.test(joined) ? joined : null;
}

/** @throws RangeError */
function readCheckpoint(statement: string): Checkpoint {
  const parsed = Checkpoint.safeParse(unverifiedPayload(statement));
  if (!parsed.success) throw new RangeError('This signed text is not a checkpoint of a journal.');
  return parsed.data;
}

const grouped = (hash: string): string => (hash.match(/.{1,8}/g) ?? []).join(' ');
