import type { Command } from 'commander';
import { api } from '@rundlet/contracts';
import { checkStatement, PublicKey, statementIn, thumbprint } from '@rundlet/statements';
import { z } from 'zod';
import { jsonOf, textOf, type Context } from '../context.ts';
import { EXIT, Failure } from '../failure.ts';

/** A key as a JSON Web Key, several of them as a JWK set, or the answer of /api/public-keys. */
const KeyFile = z.union([
  z.object({ keys: z.array(PublicKey) }).transform(({ keys }) => keys),
  z
    .object({ rows: z.array(z.object({ x: PublicKey.shape.x })) })
    .transform(({ rows }) => rows.map(({ x }) => ({ kty: 'OKP', crv: 'Ed25519', x }) as const)),
  PublicKey.transform((key) => [key]),
]);

export function addVerifyStatement(program: Command, contextOf: () => Context): void {
  program
    .command('verify-statement')
    .description(
      'check a signed text (a checkpoint, a bottling’s statement) with a public key, without a server',
    )
    .argument('<file>', 'the signed text, or the letter it is in; - for standard input')
    .requiredOption(
      '--key <file>',
      'public key: a JSON Web Key, a set of them, or what `rundlet keys` wrote',
    )
    .action(async (file: string, { key }: { key: string }) => {
      const context = contextOf();
      const parsed = KeyFile.safeParse(await jsonOf(key));
      if (!parsed.success)
        throw new Failure(
          `${key} is no Ed25519 public key: it must be JSON with kty "OKP", crv "Ed25519" and x.`,
          EXIT.usage,
        );
      const statement = statementIn(await textOf(file));
      if (statement === null) throw new Failure(`No signed text is in ${file}.`, EXIT.usage);
      const checked = checkStatement(statement, parsed.data);
      if (checked.status !== 'good')
        throw new Failure(
          `The statement does NOT verify. ${checked.reason}`,
          EXIT.negative,
          checked,
        );
      context.answer(
        checked,
        `The statement verifies; it is signed with the key ${checked.kid}. It says:\n${JSON.stringify(checked.payload, null, 2)}`,
      );
    });
  program
    .command('keys')
    .description('write the public keys of the server as a JWK set, to keep for checking later')
    .action(async () => {
      const context = contextOf();
      const { rows } = await context.stranger().call(api.journal.keys);
      const keys = rows.map(({ x }) => {
        const jwk = { kty: 'OKP', crv: 'Ed25519', x } as const;
        return { ...jwk, kid: thumbprint(jwk) };
      });
      context.pass(`${JSON.stringify({ keys }, null, 2)}\n`);
    });
}
