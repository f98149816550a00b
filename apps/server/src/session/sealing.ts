import { createCipheriv, createDecipheriv, randomBytes } from 'node:crypto';
import { join } from 'node:path';
import { readOrWriteSecretFile } from '../platform/secret-file.ts';

const ALGORITHM = 'aes-256-gcm';
const KEY_BYTES = 32;
const NONCE_BYTES = 12;
const TAG_BYTES = 16;

/**
 * Seals what must be read again but must not lie open in the database or in a copy of it: AES-256-GCM (NIST SP 800-38D)
 * under a key in a file of the data folder, made when it is first needed.
 */
export class Sealing {
  readonly #file: string;
  #key: Buffer | null = null;

  constructor(dataFolder: string) {
    this.#file = join(dataFolder, 'sealing-key');
  }

  /** `about` binds the text to its place: sealed for one person it does not open for another. */
  seal(text: string, about: string): string {
    const nonce = randomBytes(NONCE_BYTES);
    const cipher = createCipheriv(ALGORITHM, this.#theKey(), nonce).setAAD(Buffer.from(about));
    const sealed = Buffer.concat([cipher.update(text, 'utf8'), cipher.final()]);
    return Buffer.concat([nonce, cipher.getAuthTag(), sealed]).toString('base64url');
  }

  /** @throws Error when the text was changed, was sealed about something else or under another key */
  open(sealed: string, about: string): string {
    const bytes = Buffer.from(sealed, 'base64url');
    const body = NONCE_BYTES + TAG_BYTES;
    const decipher = createDecipheriv(ALGORITHM, this.#theKey(), bytes.subarray(0, NONCE_BYTES))
      .setAAD(Buffer.from(about))
      .setAuthTag(bytes.subarray(NONCE_BYTES, body));
    return Buffer.concat([decipher.update(bytes.subarray(body)), decipher.final()]).toString();
  }

  #theKey(): Buffer {
    if (this.#key) return this.#key;
    const fresh = randomBytes(KEY_BYTES).toString('base64url');
    const key = Buffer.from(readOrWriteSecretFile(this.#file, `${fresh}\n`).trim(), 'base64url');
    if (key.length !== KEY_BYTES)
      throw new Error(`${this.#file} does not hold a key of ${String(KEY_BYTES)} bytes.`);
    return (this.#key = key);
  }
}
