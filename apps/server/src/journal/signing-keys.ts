import { Inject, Injectable } from '@nestjs/common';
import type { SigningKey } from '@rundlet/contracts';
import type { Succession } from '@rundlet/domain';
import { signStatement, type Signer } from '@rundlet/statements';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { Records } from '../database/records.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { PROGRAM, type Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { ActDoor } from './act-door.ts';
import {
  keyFileIn,
  newKeyPair,
  readKeyPair,
  writeKeyPair,
  type SigningKeyPair,
} from './key-file.ts';

/** The key this server signs with: its private half in a file of the data folder, its public half in the journal. */
@Injectable()
export class SigningKeys {
  constructor(
    private readonly door: ActDoor,
    private readonly work: UnitOfWork,
    private readonly records: Records,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** Every public key ever announced, newest first. */
  all(): Promise<SigningKey[]> {
    return this.records.where('signing-key', sql`1 = 1`, sql`"announcedAt" DESC, "id"`);
  }

  /** The key to sign with now. The first is made and announced when it is first needed. */
  signer(): Promise<Signer> {
    return this.work.alone('signing-key', async () => {
      const file = keyFileIn(this.settings.dataFolder);
      const pair = readKeyPair(file) ?? newKeyPair();
      if (!(await this.records.find('signing-key', pair.kid))) {
        writeKeyPair(file, pair);
        // A journal with keys already, and none of them here: the file was lost, and the break is seen in the list.
        await this.announce(pair, null, PROGRAM);
      }
      return pair;
    });
  }

  /** A new key, endorsed by the one it replaces, whose private half is then gone. */
  async change(by: Actor): Promise<SigningKey> {
    await this.signer();
    return this.work.alone('signing-key', async () => {
      const file = keyFileIn(this.settings.dataFolder);
      const before = readKeyPair(file);
      const next = newKeyPair();
      await this.announce(next, before, by);
      writeKeyPair(file, next);
      return this.records.need('signing-key', next.kid);
    });
  }

  private async announce(
    pair: SigningKeyPair,
    before: SigningKeyPair | null,
    by: Actor,
  ): Promise<void> {
    const at = this.clock.instant();
    const succession: Succession = { says: 'key-succession', keyId: pair.kid, at };
    await this.door.submit(
      {
        id: uuid(),
        kind: 'signing-key.announce',
        happenedAt: at,
        body: {
          x: pair.publicKey.x,
          follows: before?.kid ?? null,
          endorsement: before && signStatement(succession, before),
        },
      },
      by,
    );
  }
}
