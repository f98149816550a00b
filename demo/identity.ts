import { randomStream } from './random.ts';

/**
 * UUIDv7 (RFC 9562) whose random bits come from the seed: the same history asked for twice has the same ids, so loading it
 * twice changes nothing.
 */
export function identities(seed: string): (unixMs: number) => string {
  const random = randomStream(`${seed}/identities`);
  const hex = (bits: number): string =>
    Math.floor(random.next() * 2 ** bits)
      .toString(16)
      .padStart(bits / 4, '0');
  return (unixMs) => {
    const time = unixMs.toString(16).padStart(12, '0');
    const variant = '89ab'.charAt(random.whole(0, 3));
    return `${time.slice(0, 8)}-${time.slice(8)}-7${hex(12)}-${variant}${hex(12)}-${hex(24)}${hex(24)}`;
  };
}
