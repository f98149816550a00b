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

/** A busy device delays single keys, and half a code taken for a whole one is worse than none: only a long pause ends a burst. */
const LONGEST_PAUSE_MS = 500;
/** Median time between keys; quick typists need twice as long. */
const FASTER_THAN_FINGERS_MS = 40;
const LEAST_LENGTH = 6;
const GS = '\u001d';

export function wedgeBurst(): (key: Key) => Verdict {
  let text = '';
  let gapsMs: number[] = [];
  let lastMs = -Infinity;
  return ({ key, ctrl, atMs, repeat }) => {
    if (repeat || atMs - lastMs > LONGEST_PAUSE_MS) text = '';
    if (repeat) return { kind: 'nothing' };
    if (key === 'Enter' || key === 'Tab') {
      const scanned = text;
      text = '';
      return scanned.length >= LEAST_LENGTH && medianOf(gapsMs) <= FASTER_THAN_FINGERS_MS
        ? { kind: 'scanned', text: scanned }
        : { kind: 'nothing' };
    }
    const character = ctrl ? (key === ']' ? GS : '') : key.length === 1 ? key : '';
    // Shift, Alt and the like come between the characters and say nothing by themselves.
    if (character === '') return { kind: 'nothing' };
    const began = text === '';
    if (began) gapsMs = [];
    else gapsMs.push(atMs - lastMs);
    lastMs = atMs;
    text += character;
    return { kind: began ? 'began' : 'nothing' };
  };
}

const medianOf = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Infinity;
