import { createPrivateKey, generateKeyPairSync, sign } from 'node:crypto';
import { join } from 'node:path';
import { thumbprint, type PublicKey, type Signer } from '@rundlet/statements';
import { z } from 'zod';
import { readSecretFile, writeSecretFile } from '../platform/secret-file.ts';

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

export const keyFileIn = (dataFolder: string): string => join(dataFolder, 'signing-key.json');

export function newKeyPair(): SigningKeyPair {
  const { privateKey } = generateKeyPairSync('ed25519');
  return pairOf(PrivateKey.parse(privateKey.export({ format: 'jwk' })));
}

/** The key in the file; null when there is no file. @throws Error when the file is no key, or others may read it */
export function readKeyPair(file: string): SigningKeyPair | null {
  const text = readSecretFile(file);
  if (text === null) return null;
  const parsed = PrivateKey.safeParse(JSON.parse(text));
  if (!parsed.success) throw new Error(`${file} does not hold an Ed25519 key as a JSON Web Key.`);
  return pairOf(parsed.data);
}

export function writeKeyPair(file: string, { jwk }: SigningKeyPair): void {
  writeSecretFile(file, `${JSON.stringify(jwk)}\n`);
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
