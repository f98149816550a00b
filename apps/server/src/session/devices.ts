import { Injectable } from '@nestjs/common';
import type { DeviceToken, Role } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { Reader } from '../database/reader.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import type { Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { NotFound } from '../platform/refusals.ts';
import { hashOfSecret, newSecret } from './secrets.ts';

interface DeviceRow {
  id: string;
  label: string;
  roles: string;
  createdAt: string;
  lastUsedAt: string | null;
  revokedAt: string | null;
}
const deviceOf = (row: DeviceRow): DeviceToken => ({
  id: row.id,
  label: row.label,
  roles: JSON.parse(row.roles) as Role[],
  createdAt: row.createdAt,
  lastUsedAt: row.lastUsedAt,
  revoked: row.revokedAt !== null,
});
/** Once in this time is often enough to note that a token was used. */
const NOTE_EVERY_MS = 10 * 60_000;

/** Tokens of scanners and programs, sent as `Authorization: Bearer …`; only their hashes are kept. */
@Injectable()
export class Devices {
  constructor(
    private readonly reader: Reader,
    private readonly work: UnitOfWork,
    private readonly clock: Clock,
  ) {}

  async all(): Promise<DeviceToken[]> {
    const rows = await this.reader.all<DeviceRow>(
      sql`SELECT * FROM "device_token" ORDER BY "createdAt" DESC, "id"`,
    );
    return rows.map(deviceOf);
  }

  async issue(
    label: string,
    roles: readonly Role[],
    createdBy: string,
  ): Promise<{ device: DeviceToken; secret: string }> {
    const secret = `rundlet_${newSecret()}`;
    const row: DeviceRow = {
      id: uuid(),
      label,
      roles: JSON.stringify(roles),
      createdAt: this.clock.instant(),
      lastUsedAt: null,
      revokedAt: null,
    };
    await this.work.write((tx) =>
      tx.insert('device_token', { ...row, createdBy, secretHash: hashOfSecret(secret) }),
    );
    return { device: deviceOf(row), secret };
  }

  async revoke(id: string): Promise<DeviceToken> {
    return this.work.write(async (tx) => {
      await tx.run(
        sql`UPDATE "device_token" SET "revokedAt" = ${this.clock.instant()} WHERE "id" = ${id} AND "revokedAt" IS NULL`,
      );
      const row = await tx.one<DeviceRow>(sql`SELECT * FROM "device_token" WHERE "id" = ${id}`);
      if (!row) throw new NotFound(`There is no device token ${id}.`);
      return deviceOf(row);
    });
  }

  async actorOf(secret: string): Promise<Actor | null> {
    const row = await this.reader.one<DeviceRow>(
      sql`SELECT * FROM "device_token" WHERE "secretHash" = ${hashOfSecret(secret)} AND "revokedAt" IS NULL`,
    );
    if (!row) return null;
    if (row.lastUsedAt === null || row.lastUsedAt < this.clock.ago(NOTE_EVERY_MS))
      await this.work.write((tx) =>
        tx.run(
          sql`UPDATE "device_token" SET "lastUsedAt" = ${this.clock.instant()} WHERE "id" = ${row.id}`,
        ),
      );
    const { id, label, roles } = deviceOf(row);
    return { kind: 'device', id, name: label, signInName: label, roles, csrfToken: null };
  }
}
