/** JSON Web Signature in compact form (RFC 7515) with Ed25519 (RFC 8037): three parts of base64url between dots. */
import { ed25519 } from '@noble/curves/ed25519.js';
import { utf8ToBytes } from '@noble/hashes/utils.js';
import { base64urlnopad, utf8 } from '@scure/base';
import { z } from 'zod';
import { canonicalJson } from './canonical.ts';
import { thumbprint, type PublicKey } from './jwk.ts';

/** Signs bytes with the private key that goes by `kid`; where the key lies is the host's business. */
export interface Signer {
  readonly kid: string;
  sign(bytes: Uint8Array): Uint8Array;
}

const Header = z.strictObject({
  alg: z.enum(['EdDSA', 'Ed25519']),
  kid: z.string().optional(),
  typ: z.string().optional(),
});

export type Checked =
  | { readonly status: 'good'; readonly kid: string; readonly payload: unknown }
  | { readonly status: 'unknown-key'; readonly kid: string | null; readonly reason: string }
  | { readonly status: 'bad'; readonly reason: string };

/** The statement, signed. Its payload is RFC 8785 canonical JSON, so that one statement has one text. */
export function signStatement(payload: object, signer: Signer): string {
  const signed = `${part(JSON.stringify({ alg: 'EdDSA', kid: signer.kid }))}.${part(canonicalJson(payload))}`;
  return `${signed}.${base64urlnopad.encode(signer.sign(utf8ToBytes(signed)))}`;
}

/** Whether a statement is signed by one of these keys, and what it says if it is. Never throws. */
export function checkStatement(compact: string, keys: readonly PublicKey[]): Checked {
  const parts = compact.trim().split('.');
  const [head = '', body = '', tail = ''] = parts;
  if (parts.length !== 3) return bad('It is not three parts between dots, as a signed text is.');
  let header: z.infer<typeof Header>;
  let signature: Uint8Array;
  try {
    header = Header.parse(JSON.parse(text(head)));
    signature = base64urlnopad.decode(tail);
  } catch {
    return bad('Its head or its signature cannot be read.');
  }
  const named = keys.filter((key) => header.kid === undefined || thumbprint(key) === header.kid);
  if (named.length === 0)
    return {
      status: 'unknown-key',
      kid: header.kid ?? null,
      reason: `It is signed with the key ${header.kid ?? '(not named)'}, which is none of those at hand.`,
    };
  const signer = named.find((key) => isSignedBy(key, `${head}.${body}`, signature));
  if (!signer)
    return bad('The signature does not fit: the text was changed, or the key is another.');
  try {
    return { status: 'good', kid: thumbprint(signer), payload: JSON.parse(text(body)) };
  } catch {
    return bad('It is rightly signed, but what it says is not JSON.');
  }
}

/** What a statement says, its signature not looked at; null when it cannot be read. */
export function unverifiedPayload(compact: string): unknown {
  try {
    return JSON.parse(text(compact.trim().split('.')[1] ?? ''));
  } catch {
    return null;
  }
}

/** Strict RFC 8032 verification: no malleable or small-order variants. */
function isSignedBy(key: PublicKey, signed: string, signature: Uint8Array): boolean {
  try {
    return ed25519.verify(signature, utf8ToBytes(signed), base64urlnopad.decode(key.x), {
      zip215: false,
    });
  } catch {
    return false;
  }
}

const part = (json: string): string => base64urlnopad.encode(utf8ToBytes(json));
const text = (encoded: string): string => utf8.encode(base64urlnopad.decode(encoded));
const bad = (reason: string): Checked => ({ status: 'bad', reason });
