import { Injectable } from '@nestjs/common';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import type { Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { personOf, type PersonRow } from './people.ts';
import { csrfTokenOf, hashOfSecret, newSecret } from './secrets.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;
/** A phone that works in the aisle for days without a network must not be signed out meanwhile. */
export const SESSION_LASTS_MS = 30 * DAY_MS;
const IDLE_AFTER_MS = 14 * DAY_MS;
/** Noting that a session was used costs a write; once in this time is often enough. */
const NOTE_EVERY_MS = 10 * MINUTE_MS;

/** Signed-in people. The cookie holds the secret, the database only its hash. */
@Injectable()
export class Sessions {
  constructor(
    private readonly reader: Reader,
    private readonly work: UnitOfWork,
    private readonly clock: Clock,
  ) {}

  /** The new session's secret. */
  async begin(personId: string): Promise<string> {
    const secret = newSecret();
    await this.work.write(async (tx) => {
      const now = this.clock.instant();
      await tx.run(sql`DELETE FROM "session" WHERE "expiresAt" < ${now}`);
      await tx.insert('session', {
        tokenHash: hashOfSecret(secret),
        personId,
        createdAt: now,
        lastSeenAt: now,
        expiresAt: this.clock.ago(-SESSION_LASTS_MS),
      });
    });
    return secret;
  }

  async actorOf(secret: string): Promise<Actor | null> {
    const tokenHash = hashOfSecret(secret);
    const row = await this.reader.one<PersonRow & { lastSeenAt: string }>(
      sql`SELECT p.*, s."lastSeenAt" FROM "session" s JOIN "person" p ON p."id" = s."personId"
          WHERE s."tokenHash" = ${tokenHash} AND s."expiresAt" > ${this.clock.instant()} AND s."lastSeenAt" > ${this.clock.ago(IDLE_AFTER_MS)}`,
    );
    if (!row || row.disabled) return null;
    if (row.lastSeenAt < this.clock.ago(NOTE_EVERY_MS))
      await this.work.write((tx) =>
        tx.run(
          sql`UPDATE "session" SET "lastSeenAt" = ${this.clock.instant()} WHERE "tokenHash" = ${tokenHash}`,
        ),
      );
    const { id, name, signInName, roles } = personOf(row);
    return { kind: 'person', id, name, signInName, roles, csrfToken: csrfTokenOf(secret) };
  }

  async end(secret: string): Promise<void> {
    await this.work.write((tx) =>
      tx.run(sql`DELETE FROM "session" WHERE "tokenHash" = ${hashOfSecret(secret)}`),
    );
  }
}
