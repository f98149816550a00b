import {
  existsSync,
  linkSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';

/** The file's owner may read and write it, nobody else anything. */
const OWNER_ONLY = 0o600;

/** What the file holds; null when there is none. @throws Error when others than its owner may read it */
export function readSecretFile(file: string): string | null {
  if (!existsSync(file)) return null;
  const rights = statSync(file).mode & 0o777;
  if ((rights & 0o077) !== 0)
    throw new Error(
      `${file} can be read by others (rights ${rights.toString(8)}). Allow its owner only: chmod 600 ${file}`,
    );
  return readFileSync(file, 'utf8');
}

/** Puts the text in the file's place in one step: a crash leaves the old one or the new one. */
export function writeSecretFile(file: string, text: string): void {
  renameSync(writtenBeside(file, text), file);
}

/** What the file holds, after it was written with this text if there was none: of several processes, the first one's is kept. */
export function readOrWriteSecretFile(file: string, text: string): string {
  const kept = readSecretFile(file);
  if (kept !== null) return kept;
  const beside = writtenBeside(file, text);
  try {
    linkSync(beside, file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  } finally {
    rmSync(beside);
  }
  return readOrWriteSecretFile(file, text);
}

function writtenBeside(file: string, text: string): string {
  mkdirSync(dirname(file), { recursive: true, mode: 0o700 });
  const beside = `${file}.${String(process.pid)}.new`;
  writeFileSync(beside, text, { mode: OWNER_ONLY, flush: true });
  return beside;
}
