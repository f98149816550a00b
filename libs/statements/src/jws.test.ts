import { createPrivateKey, createPublicKey, generateKeyPairSync, sign, verify } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import {
  checkCheckpoint,
  checkpointLetter,
  checkStatement,
  signStatement,
  statementIn,
  thumbprint,
  type PublicKey,
  type Signer,
} from './index.ts';

/** RFC 8037, appendix A.1 and A.2. */
const RFC_KEY = {
  kty: 'OKP',
  crv: 'Ed25519',
  d: 'nWGxne_9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A',
  x: '11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo',
} as const;
/** RFC 8037, appendix A.4: the example signing, in compact form. */
const RFC_JWS =
  'eyJhbGciOiJFZERTQSJ9.RXhhbXBsZSBvZiBFZDI1NTE5IHNpZ25pbmc.hgyY0il_MGCjP0JzlnLWG1PPOt7-09PGcvMg3AIbQR6dWbhijcNR4ki4iylGjg5BhVsPt9g7sVvpAr_MuM0KAg';

function newSigner(): { signer: Signer; key: PublicKey } {
  const { privateKey, publicKey } = generateKeyPairSync('ed25519');
  const key = publicKey.export({ format: 'jwk' }) as PublicKey;
  return {
    key,
    signer: { kid: thumbprint(key), sign: (bytes) => sign(null, bytes, privateKey) },
  };
}

describe('RFC 8037, appendix A', () => {
  test('A.3: the thumbprint of the key', () => {
    expect(thumbprint(RFC_KEY)).toBe('kPrK_qmxVWaYVA9wwBF6Iuo3vVzz7TxHCTwXBygrS4k');
  });

  test('A.4 and A.5: the signature verifies, here and by Node’s OpenSSL; its payload is no JSON, which is said', () => {
    const checked = checkStatement(RFC_JWS, [RFC_KEY]);
    expect(checked).toMatchObject({ status: 'bad' });
    expect(checked.status === 'bad' && checked.reason).toContain('rightly signed');
    const [head, body, tail] = RFC_JWS.split('.');
    const signed = Buffer.from(`${head ?? ''}.${body ?? ''}`);
    const key = createPublicKey({ key: RFC_KEY, format: 'jwk' });
    expect(verify(null, signed, key, Buffer.from(tail ?? '', 'base64url'))).toBe(true);
    // Ed25519 signs the same thing the same way each time (RFC 8032), so A.4 can be made again.
    const again = sign(null, signed, createPrivateKey({ key: RFC_KEY, format: 'jwk' }));
    expect(again.toString('base64url')).toBe(tail);
  });

  test('A.4 with one character changed anywhere no longer verifies', () => {
    for (let i = 0; i < RFC_JWS.length; i++) {
      const other = RFC_JWS[i] === 'A' ? 'B' : 'A';
      const checked = checkStatement(RFC_JWS.slice(0, i) + other + RFC_JWS.slice(i + 1), [RFC_KEY]);
      expect(checked.status).toBe('bad');
      expect(checked.status === 'bad' && checked.reason, `at ${String(i)}`).not.toContain(
        'rightly signed',
      );
    }
  });
});

describe('a statement', () => {
  const { signer, key } = newSigner();
  const other = newSigner();
  const payload = {
    says: 'journal-checkpoint',
    estate: 'Harrow Point',
    seq: 12,
    hash: 'ab'.repeat(32),
    at: '2026-11-25T09:00:00.000Z',
  } as const;

  test('says the same to whoever has the key, and nothing to who has another', () => {
    const statement = signStatement(payload, signer);
    expect(checkStatement(statement, [other.key, key])).toEqual({
      status: 'good',
      kid: signer.kid,
      payload,
    });
    expect(checkStatement(statement, [other.key])).toMatchObject({
      status: 'unknown-key',
      kid: signer.kid,
    });
    const [head, body] = statement.split('.');
    const forged = signStatement({ ...payload, seq: 13 }, signer).split('.')[2] ?? '';
    expect(checkStatement(`${head ?? ''}.${body ?? ''}.${forged}`, [key]).status).toBe('bad');
  });

  test('an algorithm of none, or a header that asks for more than is known, is refused', () => {
    const [, body = '', tail = ''] = signStatement(payload, signer).split('.');
    for (const header of [{ alg: 'none' }, { alg: 'EdDSA', crit: ['b64'], b64: false }]) {
      const head = Buffer.from(JSON.stringify(header)).toString('base64url');
      expect(checkStatement(`${head}.${body}.${tail}`, [key]).status).toBe('bad');
    }
  });

  test('a checkpoint’s letter is read back, quoted in a mail or not', () => {
    const statement = signStatement(payload, signer);
    const letter = checkpointLetter(statement, signer.kid);
    expect(letter).toContain('Entries:    12');
    expect(statementIn(letter)).toBe(statement);
    expect(statementIn(letter.replace(/^/gm, '> '))).toBe(statement);
    expect(statementIn('Dear keeper, nothing is here.')).toBeNull();
    expect(checkCheckpoint(statementIn(letter) ?? '', [key])).toMatchObject({
      status: 'good',
      checkpoint: payload,
    });
    const note = signStatement({ says: 'something else' }, signer);
    expect(checkCheckpoint(note, [key])).toMatchObject({ status: 'bad' });
    expect(() => checkpointLetter(note, signer.kid)).toThrow(RangeError);
  });
});
