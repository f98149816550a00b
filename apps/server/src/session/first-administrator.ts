import { timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { ROLES, type Person } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import type { WritableRows } from '../database/rows.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Clock } from '../platform/clock.ts';
import { Forbidden } from '../platform/refusals.ts';
import { People, personOf, type NewPerson } from './people.ts';
import { hashOfSecret, newSecret } from './secrets.ts';

const PURPOSE = 'first-administrator';

/** A start without people prints a link; whoever holds it makes the first administrator, once. */
@Injectable()
export class FirstAdministrator {
  constructor(
    private readonly work: UnitOfWork,
    private readonly people: People,
    private readonly clock: Clock,
  ) {}

  /** A new one-time token, which replaces an earlier one; null once there are people. */
  async issueToken(): Promise<string | null> {
    if ((await this.people.count()) > 0) return null;
    const token = newSecret();
    await this.work.write((tx) =>
      tx.insertMany(
        'one_time_token',
        ['purpose', 'tokenHash', 'createdAt'],
        [[PURPOSE, hashOfSecret(token), this.clock.instant()]],
        ['purpose'],
      ),
    );
    return token;
  }

  async make(token: string, person: Omit<NewPerson, 'roles'>): Promise<Person> {
    const row = await this.people.rowFor({ ...person, roles: ROLES });
    return this.work.write(async (tx) => {
      await this.redeem(tx, token);
      await this.people.insert(tx, row);
      return personOf(row);
    }, 'people');
  }

  private async redeem(tx: WritableRows, token: string): Promise<void> {
    const stored = await tx.one<{ tokenHash: string }>(
      sql`SELECT "tokenHash" FROM "one_time_token" WHERE "purpose" = ${PURPOSE}`,
    );
    const given = Buffer.from(hashOfSecret(token));
    if (!stored || !timingSafeEqual(given, Buffer.from(stored.tokenHash)))
      throw new Forbidden(
        'This link is not valid, or was used already. While nobody can sign in, starting the server prints a new one.',
      );
    await tx.run(sql`DELETE FROM "one_time_token" WHERE "purpose" = ${PURPOSE}`);
  }
}
