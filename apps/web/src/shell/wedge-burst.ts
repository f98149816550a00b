/**
 * Hand scanners that type. A burst is a run of keys faster than fingers, at least six long, ended by Enter or Tab.
 * Pure: it is fed keys with their times and says what it makes of them. The limits are from experience of such scanners,
 * no published source.
 */
export interface Key {
  readonly key: string;
  readonly ctrl: boolean;
  readonly atMs: number;
  /** An auto-repeated key of a held finger. */
  readonly repeat: boolean;
}
export type Verdict = { kind: 'nothing' } | { kind: 'began' } | { kind: 'scanned'; text: string };

const FASTER_THAN_FINGERS_MS = 50;
const LEAST_LENGTH = 6;
const GS = '\u001d';

export function wedgeBurst(): (key: Key) => Verdict {
  let text = '';
  let lastMs = -Infinity;
  return ({ key, ctrl, atMs, repeat }) => {
    const gap = atMs - lastMs;
    if (repeat) {
      text = '';
      return { kind: 'nothing' };
    }
    if (gap > FASTER_THAN_FINGERS_MS) text = '';
    if (key === 'Enter' || key === 'Tab') {
      const scanned = text;
      text = '';
      return scanned.length >= LEAST_LENGTH
        ? { kind: 'scanned', text: scanned }
        : { kind: 'nothing' };
    }
    const character = ctrl ? (key === ']' ? GS : '') : key.length === 1 ? key : '';
    // Shift, Alt and the like come between the characters and say nothing by themselves.
    if (character === '') return { kind: 'nothing' };
    lastMs = atMs;
    const began = text === '';
    text += character;
    return { kind: began ? 'began' : 'nothing' };
  };
}
