import { checkCheckpoint, checkStatement, thumbprint, type PublicKey } from '@rundlet/statements';
import { DomainError } from '../errors.ts';
import { handler } from './handler.ts';

export const publicKeyOf = (key: { readonly x: string }): PublicKey => ({
  kty: 'OKP',
  crv: 'Ed25519',
  x: key.x,
});

const refuse = (reason: string, pointer: string): never => {
  throw new DomainError('signature-wrong', reason, {}, pointer);
};

interface Signed {
  readonly seq: number;
  readonly hash: string;
  readonly at: string;
  readonly keyId: string;
}

/** What the program signs, and with which keys. Signatures are checked before anything is written. */
export const checkpointActs = {
  'signing-key.announce': handler<'signing-key.announce', { keyId: string }>({
    async decide({ body }, { state }) {
      const keyId = thumbprint(publicKeyOf(body));
      if (await state.get('signing-key', keyId))
        refuse('This key has been announced before.', '/body/x');
      if (body.follows !== null) {
        const before = await state.need('signing-key', body.follows, '/body/follows');
        const said = checkStatement(body.endorsement ?? '', [publicKeyOf(before)]);
        if (said.status !== 'good' || !names(said.payload, keyId))
          refuse('The key before has not signed for this one.', '/body/endorsement');
      }
      return { keyId };
    },
    async fold({ body }, { keyId }, { state, at }) {
      if (body.follows !== null) {
        const before = await state.need('signing-key', body.follows);
        await state.put('signing-key', { ...before, retiredAt: at });
      }
      await state.put('signing-key', {
        id: keyId,
        x: body.x,
        announcedAt: at,
        follows: body.follows,
        endorsement: body.endorsement,
        retiredAt: null,
      });
    },
  }),

  'checkpoint.sign': handler<'checkpoint.sign', Signed>({
    async decide({ body }, { state }) {
      const keys = [];
      const named = keyNamedBy(body.statement);
      if (named) {
        const key = await state.get('signing-key', named);
        if (key) keys.push(publicKeyOf(key));
      }
      const checked = checkCheckpoint(body.statement, keys);
      if (checked.status !== 'good') return refuse(checked.reason, '/body/statement');
      const { seq, hash, at } = checked.checkpoint;
      return { seq, hash, at, keyId: checked.kid };
    },
    fold: ({ body }, { seq, hash, at, keyId }, { state, entryId }) =>
      state.put('checkpoint', { id: entryId, seq, hash, at, keyId, statement: body.statement }),
  }),
};

/** What a key that takes over is endorsed with. */
export interface Succession {
  readonly says: 'key-succession';
  readonly keyId: string;
  readonly at: string;
}
const names = (payload: unknown, keyId: string): boolean => {
  const { says, keyId: named } = payload as Partial<Succession>;
  return says === 'key-succession' && named === keyId;
};

const keyNamedBy = (statement: string): string | null => {
  const checked = checkStatement(statement, []);
  return checked.status === 'unknown-key' ? checked.kid : null;
};
