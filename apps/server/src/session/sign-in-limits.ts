import { Injectable } from '@nestjs/common';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Clock } from '../platform/clock.ts';
import { Refusal } from '../platform/refusals.ts';

const WINDOW_MS = 15 * 60_000;
/**
 * Wrong tries within the window after which the next must wait: by one address for one name; and by anybody for one name or
 * by one address for any name, higher, so that a stranger cannot easily lock a person out.
 */
const MOST = { pair: 5, signInName: 30, address: 30 };
const KEEP_MS = 90 * 24 * 60 * 60_000;

/** Counts sign-in tries in the database, so that neither a restart nor another server process forgets them. */
@Injectable()
export class SignInLimits {
  constructor(
    private readonly work: UnitOfWork,
    private readonly clock: Clock,
  ) {}

  /** Notes a try as failed until {@link succeeded} says otherwise, so that tries at the same time all count. @throws Refusal 429 */
  async begin(signInName: string, address: string): Promise<string> {
    const since = this.clock.ago(WINDOW_MS);
    return this.work.write(async (tx) => {
      const failed = await tx.one<{ pair: number; byName: number; byAddress: number }>(
        sql`SELECT COALESCE(SUM(CASE WHEN "signInName" = ${signInName} AND "address" = ${address} THEN 1 ELSE 0 END), 0) AS "pair",
                   COALESCE(SUM(CASE WHEN "signInName" = ${signInName} THEN 1 ELSE 0 END), 0) AS "byName",
                   COALESCE(SUM(CASE WHEN "address" = ${address} THEN 1 ELSE 0 END), 0) AS "byAddress"
            FROM "sign_in_attempt"
            WHERE "at" > ${since} AND "succeeded" = ${false} AND ("signInName" = ${signInName} OR "address" = ${address})`,
      );
      if (
        (failed?.pair ?? 0) >= MOST.pair ||
        (failed?.byName ?? 0) >= MOST.signInName ||
        (failed?.byAddress ?? 0) >= MOST.address
      )
        throw new Refusal(
          429,
          'too-many-tries',
          'Too many wrong tries. Wait a quarter of an hour, then try again.',
          WINDOW_MS / 1000,
        );
      const id = uuid();
      await tx.insert('sign_in_attempt', {
        id,
        signInName,
        address,
        at: this.clock.instant(),
        succeeded: false,
      });
      return id;
    }, 'sign-in');
  }

  /** The try was right: this person's earlier slips from this address no longer count against them. */
  async succeeded(attemptId: string): Promise<void> {
    await this.work.write(async (tx) => {
      const attempt = await tx.one<{ signInName: string; address: string }>(
        sql`SELECT "signInName", "address" FROM "sign_in_attempt" WHERE "id" = ${attemptId}`,
      );
      if (!attempt) return;
      await tx.run(
        sql`DELETE FROM "sign_in_attempt" WHERE "signInName" = ${attempt.signInName} AND "address" = ${attempt.address} AND "id" <> ${attemptId} AND "succeeded" = ${false} AND "at" > ${this.clock.ago(WINDOW_MS)}`,
      );
      await tx.run(
        sql`UPDATE "sign_in_attempt" SET "succeeded" = ${true} WHERE "id" = ${attemptId}`,
      );
      await tx.run(sql`DELETE FROM "sign_in_attempt" WHERE "at" < ${this.clock.ago(KEEP_MS)}`);
    });
  }
}
