import { v7 } from 'uuid';
import { keep, kept } from '../data/database.ts';

let device: Promise<string> | undefined;

/** This browser's own name in the journal; made once and kept. */
export function deviceId(): Promise<string> {
  device ??= kept<string>('device').then(async (known) => {
    if (known) return known;
    const made = `web-${v7().slice(-12)}`;
    await keep('device', made);
    return made;
  });
  return device;
}
