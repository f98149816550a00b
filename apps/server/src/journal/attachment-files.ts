import { randomUUID } from 'node:crypto';
import { existsSync, rmSync, statSync } from 'node:fs';
import { mkdir, open, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import {
  ATTACHMENT_ENDINGS,
  ATTACHMENT_TYPES,
  MOST_ATTACHMENT_BYTES,
  type Attachment,
  type AttachmentType,
} from '@rundlet/contracts';
import type { AttachmentLookup } from '@rundlet/domain';
import { fileTypeFromBuffer } from 'file-type';
import { Refusal } from '../platform/refusals.ts';
import { sha256Hex } from './sha256.ts';

type Kept = Pick<Attachment, 'sha256' | 'mediaType'>;

/** The bytes of attachments, each once under its hash, in a folder of the data folder for its owner's eyes only. */
export class AttachmentFiles implements AttachmentLookup {
  readonly #folder: string;
  constructor(dataFolder: string) {
    this.#folder = join(dataFolder, 'attachments');
  }

  /** Puts the bytes safely on the disk; a copy that was there, whole or damaged, is replaced. @throws Refusal */
  async keep(sha256: string, bytes: Uint8Array): Promise<Omit<Attachment, 'name'>> {
    if (bytes.length > MOST_ATTACHMENT_BYTES)
      throw new Refusal(413, 'attachment-too-large', 'An attachment may have at most 10 MB.');
    if (sha256Hex(bytes) !== sha256)
      throw new Refusal(
        422,
        'attachment-differs',
        'These bytes do not hash to the SHA-256 they are sent under. Send the file again.',
      );
    const mediaType = await typeOf(bytes);
    await mkdir(this.#folder, { recursive: true, mode: 0o700 });
    const file = this.#fileOf({ sha256, mediaType });
    const beside = `${file}.${randomUUID()}.new`;
    try {
      await writeFile(beside, bytes, { mode: 0o600, flush: true });
      await rename(beside, file);
    } catch (error) {
      await rm(beside, { force: true });
      throw error;
    }
    // The new name too must be on the disk before anybody relies on it.
    const folder = await open(this.#folder);
    await folder.sync().finally(() => folder.close());
    return { sha256, mediaType, bytes: bytes.length };
  }

  /** Whether the bytes are here, by name and length; at once, so that acts stay in their order. */
  has(attachment: Omit<Attachment, 'name'>): boolean {
    const found = statSync(this.#fileOf(attachment), { throwIfNoEntry: false });
    return found?.size === attachment.bytes;
  }

  /** The bytes and what they are; null when there are none. */
  async read(sha256: string): Promise<{ mediaType: AttachmentType; content: Buffer } | null> {
    for (const mediaType of ATTACHMENT_TYPES) {
      const file = this.#fileOf({ sha256, mediaType });
      if (existsSync(file)) return { mediaType, content: await readFile(file) };
    }
    return null;
  }

  /** Those whose bytes were last handed in before then. */
  async untouchedSince(then: Date): Promise<Kept[]> {
    if (!existsSync(this.#folder)) return [];
    return (await readdir(this.#folder))
      .flatMap((name) => keptAs(name) ?? [])
      .filter((kept) => this.#isUntouched(kept, then));
  }

  /** Takes those away of {@link untouchedSince} that may go; each is looked at once more. @returns how many */
  async removeUntouched(then: Date, mayGo: (sha256: string) => boolean): Promise<number> {
    const going = (await this.untouchedSince(then)).filter(({ sha256 }) => mayGo(sha256));
    for (const kept of going) if (this.#isUntouched(kept, then)) rmSync(this.#fileOf(kept));
    return going.length;
  }

  #isUntouched(kept: Kept, since: Date): boolean {
    const found = statSync(this.#fileOf(kept), { throwIfNoEntry: false });
    return found !== undefined && found.mtime < since;
  }

  async faultOf(attachment: Attachment): Promise<string | null> {
    const file = this.#fileOf(attachment);
    if (!existsSync(file)) return 'is not there';
    const content = await readFile(file);
    if (sha256Hex(content) !== attachment.sha256)
      return 'was changed: its bytes hash to another value';
    return content.length === attachment.bytes ? null : 'has another length than the entry says';
  }

  #fileOf({ sha256, mediaType }: Kept): string {
    return join(this.#folder, `${sha256}.${ATTACHMENT_ENDINGS[mediaType]}`);
  }
}

/** What a file of the folder holds, by its name; null for one that is none of them. */
function keptAs(name: string): Kept | null {
  const [sha256 = '', ending] = name.split('.', 2);
  const mediaType = ATTACHMENT_TYPES.find((type) => ATTACHMENT_ENDINGS[type] === ending);
  return mediaType && `${sha256}.${ATTACHMENT_ENDINGS[mediaType]}` === name
    ? { sha256, mediaType }
    : null;
}

/** By the bytes, whatever the file was called. @throws Refusal when it is none that is kept */
async function typeOf(bytes: Uint8Array): Promise<AttachmentType> {
  const found = (await fileTypeFromBuffer(bytes))?.mime;
  const kept = ATTACHMENT_TYPES.find((type) => type === found);
  if (kept) return kept;
  throw new Refusal(
    415,
    'attachment-type',
    `Photographs (JPEG, PNG, WebP) and PDF are kept; by its bytes this is ${found ?? 'none of them'}.`,
  );
}
