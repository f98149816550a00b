import { sha256 } from '@noble/hashes/sha2.js';
import { utf8ToBytes } from '@noble/hashes/utils.js';
import { base64urlnopad } from '@scure/base';
import { z } from 'zod';

/** An Ed25519 public key as a JSON Web Key (RFC 8037, section 2). */
export const PublicKey = z.object({
  kty: z.literal('OKP'),
  crv: z.literal('Ed25519'),
  /** The key's 32 bytes, base64url without padding. */
  x: z.string().regex(/^[\w-]{43}$/, 'an Ed25519 key is 43 characters of base64url'),
});
export type PublicKey = z.infer<typeof PublicKey>;

/** The name a key goes by: its SHA-256 thumbprint (RFC 7638), 43 characters of base64url. */
export function thumbprint({ crv, kty, x }: PublicKey): string {
  // RFC 7638 section 3.2: the required members only, in this order.
  return base64urlnopad.encode(sha256(utf8ToBytes(JSON.stringify({ crv, kty, x }))));
}
