import { createPrivateKey, generateKeyPairSync, sign } from 'node:crypto';
import { existsSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { thumbprint, type PublicKey, type Signer } from '@rundlet/statements';
import { z } from 'zod';

const PrivateKey = z.object({
  kty: z.literal('OKP'),
  crv: z.literal('Ed25519'),
  x: z.string(),
  d: z.string(),
});

/** A private key in memory: what it signs with and the public half others check with. */
export interface SigningKeyPair extends Signer {
  readonly publicKey: PublicKey;
  /** As kept in the file. */
  readonly jwk: z.infer<typeof PrivateKey>;
}

/** The file's owner may read and write it, nobody else anything. */
const OWNER_ONLY = 0o600;
export const keyFileIn = (dataFolder: string): string => join(dataFolder, 'signing-key.json');

export function newKeyPair(): SigningKeyPair {
  const { privateKey } = generateKeyPairSync('ed25519');
  return pairOf(PrivateKey.parse(privateKey.export({ format: 'jwk' })));
}

/** The key in the file; null when there is no file. @throws Error when the file is no key, or others may read it */
export function readKeyPair(file: string): SigningKeyPair | null {
  if (!existsSync(file)) return null;
  const rights = statSync(file).mode & 0o777;
  if ((rights & 0o077) !== 0)
    throw new Error(
      `${file} can be read by others (rights ${rights.toString(8)}). Allow its owner only: chmod 600 ${file}`,
    );
  const parsed = PrivateKey.safeParse(JSON.parse(readFileSync(file, 'utf8')));
  if (!parsed.success) throw new Error(`${file} does not hold an Ed25519 key as a JSON Web Key.`);
  return pairOf(parsed.data);
}

/** Puts the key in the file's place in one step: a crash leaves the old one or the new one. */
export function writeKeyPair(file: string, { jwk }: SigningKeyPair): void {
  mkdirSync(dirname(file), { recursive: true, mode: 0o700 });
  const beside = `${file}.new`;
  writeFileSync(beside, `${JSON.stringify(jwk)}\n`, { mode: OWNER_ONLY, flush: true });
  renameSync(beside, file);
}

function pairOf(jwk: z.infer<typeof PrivateKey>): SigningKeyPair {
  const privateKey = createPrivateKey({ key: jwk, format: 'jwk' });
  const publicKey = { kty: jwk.kty, crv: jwk.crv, x: jwk.x };
  return {
    jwk,
    publicKey,
    kid: thumbprint(publicKey),
    sign: (bytes) => sign(null, bytes, privateKey),
  };
}
