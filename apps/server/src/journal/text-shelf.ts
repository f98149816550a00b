import type { TextShelf } from '@rundlet/domain';
import { sha256Hex } from './sha256.ts';

const PART_BYTES = 16 * 1024 * 1024;
const LENGTH_BYTES = 4;
/** A character of UTF-16 takes three bytes of UTF-8 at most. */
const MOST_BYTES_OF = 3;

/** Texts as bytes beside the heap, where the garbage collector neither carries nor looks at them. */
export class BytesShelf implements TextShelf {
  readonly #parts: Buffer[] = [];
  #part = Buffer.alloc(0);
  #used = 0;

  put(text: string): number {
    if (this.#used + LENGTH_BYTES + text.length * MOST_BYTES_OF > this.#part.length) {
      this.#part = Buffer.allocUnsafeSlow(
        Math.max(PART_BYTES, LENGTH_BYTES + text.length * MOST_BYTES_OF),
      );
      this.#parts.push(this.#part);
      this.#used = 0;
    }
    const at = this.#used;
    const bytes = this.#part.write(text, at + LENGTH_BYTES);
    this.#part.writeUInt32LE(bytes, at);
    this.#used = at + LENGTH_BYTES + bytes;
    return (this.#parts.length - 1) * PART_BYTES + at;
  }

  at(place: number): string {
    return this.#bytesAt(place).toString();
  }

  hashAt(place: number): string {
    return sha256Hex(this.#bytesAt(place));
  }

  #bytesAt(place: number): Buffer {
    // Only the first text of a part may be longer than a part is.
    const part = this.#parts[Math.floor(place / PART_BYTES)];
    if (!part) throw new RangeError(`No text was put at ${String(place)}.`);
    const at = place % PART_BYTES;
    const from = at + LENGTH_BYTES;
    return part.subarray(from, from + part.readUInt32LE(at));
  }
}
