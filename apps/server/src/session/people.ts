import { Inject, Injectable } from '@nestjs/common';
import type { Person, Role } from '@rundlet/contracts';
import sql, { type Sql } from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { Reader } from '../database/reader.ts';
import { isUniqueViolation, type Rows, type WritableRows } from '../database/rows.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { includesRole } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { NotFound, Refusal } from '../platform/refusals.ts';
import { hashPassword, isPassword, pretendToCheck, type PasswordCost } from './passwords.ts';

export interface PersonRow {
  id: string;
  signInName: string;
  name: string;
  roles: string;
  passwordHash: string;
  disabled: boolean | number;
}
export interface NewPerson {
  readonly signInName: string;
  readonly name: string;
  readonly roles: readonly Role[];
  readonly password: string;
}
export interface PersonChange {
  readonly name?: string | undefined;
  readonly roles?: readonly Role[] | undefined;
  readonly password?: string | undefined;
  readonly disabled?: boolean | undefined;
}

export const personOf = (row: PersonRow): Person => ({
  id: row.id,
  signInName: row.signInName,
  name: row.name,
  roles: JSON.parse(row.roles) as Role[],
  disabled: Boolean(row.disabled),
});

/** Injection token of what hashing a password costs. */
export const COST = Symbol('password cost');

/** The people who may sign in. */
@Injectable()
export class People {
  constructor(
    private readonly reader: Reader,
    private readonly work: UnitOfWork,
    private readonly clock: Clock,
    @Inject(COST) private readonly cost: PasswordCost,
  ) {}

  async all(): Promise<Person[]> {
    const rows = await this.reader.all<PersonRow>(
      sql`SELECT * FROM "person" ORDER BY "signInName"`,
    );
    return rows.map(personOf);
  }

  /** Who has this name and this password; null for a wrong one, a disabled person and nobody alike, after the same time. */
  async withPassword(signInName: string, password: string): Promise<Person | null> {
    const row = await this.bySignInName(signInName);
    const right = row
      ? await isPassword(password, row.passwordHash)
      : await pretendToCheck(password, this.cost);
    return row && right && !row.disabled ? personOf(row) : null;
  }

  bySignInName(signInName: string): Promise<PersonRow | null> {
    return find(this.reader, sql`"signInName" = ${signInName}`);
  }

  async count(): Promise<number> {
    return (await this.reader.one<{ n: number }>(sql`SELECT COUNT(*) AS n FROM "person"`))?.n ?? 0;
  }

  async add(person: NewPerson): Promise<Person> {
    const row = await this.rowFor(person);
    await this.work.write((tx) => this.insert(tx, row));
    return personOf(row);
  }

  /** A new person's row, its password hashed: outside a transaction, because hashing takes time. */
  async rowFor(person: NewPerson): Promise<PersonRow> {
    return {
      id: uuid(),
      signInName: person.signInName,
      name: person.name,
      roles: JSON.stringify(person.roles),
      passwordHash: await hashPassword(person.password, this.cost),
      disabled: false,
    };
  }

  async insert(tx: WritableRows, row: PersonRow): Promise<void> {
    try {
      await tx.insert('person', { ...row, createdAt: this.clock.instant() });
    } catch (error) {
      if (!isUniqueViolation(error)) throw error;
      throw new Refusal(
        409,
        'sign-in-name-taken',
        `Somebody already signs in as ${row.signInName}.`,
      );
    }
  }

  async change(id: string, change: PersonChange): Promise<Person> {
    const passwordHash = change.password && (await hashPassword(change.password, this.cost));
    return this.work.write(async (tx) => {
      const before = await find(tx, sql`"id" = ${id}`);
      if (!before) throw new NotFound(`There is no person ${id}.`);
      const after: PersonRow = {
        ...before,
        name: change.name ?? before.name,
        roles: change.roles ? JSON.stringify(change.roles) : before.roles,
        disabled: change.disabled ?? Boolean(before.disabled),
        passwordHash: passwordHash ?? before.passwordHash,
      };
      await tx.run(
        sql`UPDATE "person" SET "name" = ${after.name}, "roles" = ${after.roles}, "disabled" = ${after.disabled}, "passwordHash" = ${after.passwordHash} WHERE "id" = ${id}`,
      );
      await requireAnAdministrator(tx);
      // Whoever knew the old password, or was let in before, has to sign in again.
      if (after.disabled || passwordHash)
        await tx.run(sql`DELETE FROM "session" WHERE "personId" = ${id}`);
      return personOf(after);
    }, 'people');
  }
}

const find = (rows: Rows, where: Sql): Promise<PersonRow | null> =>
  rows.one<PersonRow>(sql`SELECT * FROM "person" WHERE ${where}`);

async function requireAnAdministrator(tx: WritableRows): Promise<void> {
  const people = await tx.all<PersonRow>(sql`SELECT * FROM "person"`);
  const left = people
    .map(personOf)
    .filter((p) => !p.disabled && includesRole(p.roles, 'administer'));
  if (left.length === 0)
    throw new Refusal(
      409,
      'last-administrator',
      'Nobody would be left who may administer. Give somebody else that role first.',
    );
}
