import { randomBytes } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import { Secret, TOTP } from 'otpauth';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import type { Rows, WritableRows } from '../database/rows.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Clock } from '../platform/clock.ts';
import { Refusal } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { hashOfSecret } from './secrets.ts';
import { Sealing } from './sealing.ts';

/** RFC 6238 as every authenticator knows it: SHA-1, six digits, half a minute. */
const PERIOD_SECONDS = 30;
const TOTP_OF = { algorithm: 'SHA1', digits: 6, period: PERIOD_SECONDS } as const;
/** steps that a phone's clock may be off either way */
const WINDOW = 1;
const RECOVERY_CODES = 10;

interface Row {
  personId: string;
  sealedSecret: string;
  confirmedAt: string | null;
  lastStep: number;
  recoveryHashes: string;
}

/** The optional second step of signing in: a code of the person's authenticator, or a recovery code. */
@Injectable()
export class SecondStep {
  readonly #sealing: Sealing;

  constructor(
    private readonly reader: Reader,
    private readonly work: UnitOfWork,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {
    this.#sealing = new Sealing(settings.dataFolder);
  }

  async of(personId: string): Promise<{ on: boolean; recoveryCodesLeft: number }> {
    const row = await rowOf(this.reader, personId);
    if (!row?.confirmedAt) return { on: false, recoveryCodesLeft: 0 };
    return { on: true, recoveryCodesLeft: hashesOf(row).length };
  }

  /** Everybody who has it. */
  async holders(): Promise<Set<string>> {
    const rows = await this.reader.all<{ personId: string }>(
      sql`SELECT "personId" FROM "second_step" WHERE "confirmedAt" IS NOT NULL`,
    );
    return new Set(rows.map(({ personId }) => personId));
  }

  /** A new secret, which counts for nothing until it is confirmed. @throws Refusal 409 when one is in use */
  async begin(personId: string, signInName: string): Promise<{ secret: string; uri: string }> {
    const secret = new Secret({ size: 20 });
    await this.work.write(async (tx) => {
      if ((await rowOf(tx, personId))?.confirmedAt)
        throw new Refusal(409, 'second-step-on', 'The second step is on already. End it first.');
      await remove(tx, personId);
      await tx.insert('second_step', {
        personId,
        sealedSecret: this.#sealing.seal(secret.base32, personId),
        confirmedAt: null,
        lastStep: 0,
        recoveryHashes: '[]',
      });
    }, 'sign-in');
    const totp = new TOTP({
      ...TOTP_OF,
      issuer: this.settings.estateName,
      label: signInName,
      secret,
    });
    return { secret: secret.base32, uri: totp.toString() };
  }

  /** Turns it on; the recovery codes are shown this once. @throws Refusal 422 for a wrong code */
  async confirm(personId: string, code: string): Promise<string[]> {
    const codes = Array.from({ length: RECOVERY_CODES }, newRecoveryCode);
    await this.work.write(async (tx) => {
      const row = await rowOf(tx, personId);
      if (!row || row.confirmedAt)
        throw new Refusal(409, 'no-second-step-begun', 'No second step waits for a code.');
      const step = this.#stepOf(row, code);
      if (step === null) throw wrongCode();
      await tx.run(
        sql`UPDATE "second_step" SET "confirmedAt" = ${this.clock.instant()}, "lastStep" = ${step}, "recoveryHashes" = ${JSON.stringify(codes.map((c) => hashOfSecret(bare(c))))} WHERE "personId" = ${personId}`,
      );
    }, 'sign-in');
    return codes;
  }

  /** Takes a code, which is then used up. */
  take(personId: string, code: string): Promise<boolean> {
    return this.work.write(async (tx) => {
      const row = await rowOf(tx, personId);
      if (!row?.confirmedAt) return false;
      const step = this.#stepOf(row, code);
      if (step !== null) {
        await tx.run(
          sql`UPDATE "second_step" SET "lastStep" = ${step} WHERE "personId" = ${personId}`,
        );
        return true;
      }
      const hashes = hashesOf(row);
      const left = hashes.filter((hash) => hash !== hashOfSecret(bare(code)));
      if (left.length === hashes.length) return false;
      await tx.run(
        sql`UPDATE "second_step" SET "recoveryHashes" = ${JSON.stringify(left)} WHERE "personId" = ${personId}`,
      );
      return true;
    }, 'sign-in');
  }

  end(personId: string): Promise<void> {
    return this.work.write((tx) => remove(tx, personId));
  }

  /** The time step whose code this is; null for none, or for one used before. */
  #stepOf(row: Row, code: string): number | null {
    const totp = new TOTP({
      ...TOTP_OF,
      secret: Secret.fromBase32(this.#sealing.open(row.sealedSecret, row.personId)),
    });
    const timestamp = this.clock.now().getTime();
    const delta = totp.validate({ token: code.replace(/\s/g, ''), timestamp, window: WINDOW });
    if (delta === null) return null;
    const step = Math.floor(timestamp / 1000 / PERIOD_SECONDS) + delta;
    return step > row.lastStep ? step : null;
  }
}

export const wrongCode = (): Refusal =>
  new Refusal(
    422,
    'code-wrong',
    'That code is wrong or was used before. Wait for the next one, and look whether the phone’s clock is right.',
  );

const rowOf = (rows: Rows, personId: string): Promise<Row | null> =>
  rows.one<Row>(sql`SELECT * FROM "second_step" WHERE "personId" = ${personId}`);
async function remove(tx: WritableRows, personId: string): Promise<void> {
  await tx.run(sql`DELETE FROM "second_step" WHERE "personId" = ${personId}`);
}
const hashesOf = (row: Row): string[] => JSON.parse(row.recoveryHashes) as string[];

/** 80 random bits in four groups that can be read out: too many to guess even from their hash. */
function newRecoveryCode(): string {
  const { base32 } = new Secret({ buffer: new Uint8Array(randomBytes(10)).buffer });
  return (base32.match(/.{4}/g) ?? []).join('-');
}
const bare = (code: string): string => code.replace(/[\s-]/g, '').toUpperCase();
