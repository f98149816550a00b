/** From a scanned or typed text to the thing it stands for: this device first, because it answers at once. */
import { UnreachableError } from '@rundlet/client';
import { api, type ScanAnswer } from '@rundlet/contracts';
import { parseScan } from '@rundlet/identifiers';
import { aisle } from './aisle.ts';
import { findInAisle, nearestInAisle, positionWords, spareInAisle } from './aisle-index.ts';
import { client } from './client.ts';
import { rememberCode } from './known-codes.ts';

export type Match = ScanAnswer['matches'][number];

export async function resolveScan(text: string): Promise<ScanAnswer> {
  const local = resolveHere(text);
  if (local)
    return { status: 'found', matches: [local], nearest: [], spareCode: null, message: '' };
  try {
    const answer = await client.call(api.casks.scan, { query: { text } });
    for (const { id, code } of answer.matches) rememberCode(id, code);
    return answer;
  } catch (error) {
    if (!(error instanceof UnreachableError)) throw error;
    return notHere(text);
  }
}

/** The match among what this device holds, or null; never waits. */
export function resolveHere(text: string): Match | null {
  const { index } = aisle();
  const found = index && findInAisle(index, text);
  if (!found) return null;
  if (found.kind === 'cask') {
    const { id, code, kind, nominalLitres } = found.cask;
    return { kind: 'cask', id, code, line: `${kind}, ${String(nominalLitres)} L` };
  }
  const { id, code } = found.position;
  return { kind: 'position', id, code, line: positionWords(found.position) };
}

function notHere(text: string): ScanAnswer {
  const { index } = aisle();
  const { problems } = parseScan(text);
  const spareCode = index ? spareInAisle(index, text) : null;
  if (spareCode !== null)
    return {
      status: 'spare-label',
      matches: [],
      nearest: [],
      spareCode,
      message: `${spareCode} is a spare label, printed in advance and on no cask yet.`,
    };
  const wrong = problems.some((problem) => problem.kind === 'wrong-check-character');
  const nearest = index ? nearestInAisle(index, text) : [];
  return {
    status: wrong ? 'wrong-check-character' : 'unknown',
    matches: [],
    nearest: nearest.map(({ id, code, kind }) => ({ kind: 'cask', id, code, line: kind })),
    spareCode: null,
    message: wrong
      ? 'The check character does not fit, so something was misread or mistyped.'
      : 'It is not in the store kept on this device, and the server cannot be asked just now.',
  };
}
