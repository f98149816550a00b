import { statSync } from 'node:fs';
import { chmod, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Client } from '@rundlet/client';
import { api, VerifyReport } from '@rundlet/contracts';
import { checkCheckpoint, statementIn } from '@rundlet/statements';
import sql, { raw } from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../apps/cli/src/program.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { Checkpoints } from '../../apps/server/src/journal/checkpoints.ts';
import { verifyDatabase } from '../../apps/server/src/journal/verification.ts';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, type SmallEstate } from '../support/small-estate.ts';

describe.each(databases)('checkpoints on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  let now = Date.parse('2026-11-25T09:00:00.000Z');
  const hours = (n: number) => (now += n * 3_600_000);
  const note = (text: string) =>
    doActs(keeper, [
      act(
        'cask.note',
        { caskId: estate.caskIds[0] ?? '', text },
        { happenedAt: new Date(now).toISOString() },
      ),
    ]);
  beforeAll(async () => {
    server = await startServer(kind, { now: () => new Date(now) });
    keeper = await server.as('administer');
    estate = await layDownSmallEstate(keeper);
  });
  afterAll(() => server.stop());

  const keysOf = async () =>
    (await server.nobody.call(api.journal.keys)).rows.map(
      ({ x }) => ({ kty: 'OKP', crv: 'Ed25519', x }) as const,
    );

  test('one is signed when asked for, over the last entry there was, with a key that only the owner may read', async () => {
    const last = await keeper.call(api.journal.list, { query: { limit: 1 } });
    const signed = await keeper.call(api.journal.signCheckpoint);
    // The key was announced first, and that is an entry of its own.
    expect(signed.seq).toBe((last.rows[0]?.seq ?? 0) + 1);
    const checked = checkCheckpoint(signed.statement, await keysOf());
    expect(checked).toMatchObject({
      status: 'good',
      checkpoint: { seq: signed.seq, hash: signed.hash, estate: 'The estate' },
    });
    const file = join(server.settings.dataFolder, 'signing-key.json');
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect((await keeper.call(api.journal.checkpoints)).rows).toEqual([signed]);
    const told = await keeper.call(api.journal.list, { query: { limit: 2 } });
    expect(told.rows.map((r) => r.words)).toEqual([
      `Checkpoint signed over the first ${String(signed.seq)} entries.`,
      'A first key to sign with was made.',
    ]);
    const reader = await server.as('warehouse');
    expect((await problemOf(reader.call(api.journal.signCheckpoint))).status).toBe(403);
  });

  test('its letter and its code carry the signed text', async () => {
    const [latest] = (await keeper.call(api.journal.checkpoints)).rows;
    const params = { id: latest?.id ?? '' };
    const letter = await keeper.file(api.journal.checkpointLetter, { params });
    expect(statementIn(new TextDecoder().decode(letter.bytes))).toBe(latest?.statement);
    const code = await keeper.file(api.journal.checkpointCode, { params });
    expect(new TextDecoder().decode(code.bytes)).toMatch(/^<svg .*<path .*Z"\/><\/svg>$/s);
  });

  test('by itself: once a day while there is something new, as often as set, never when set to never', async () => {
    const checkpoints = server.app.get(Checkpoints);
    expect(await checkpoints.signIfDue()).toBe(false);
    hours(25);
    expect(await checkpoints.signIfDue()).toBe(false);
    await note('something new');
    expect(await checkpoints.signIfDue()).toBe(true);
    await note('something newer');
    hours(5);
    expect(await checkpoints.signIfDue()).toBe(false);
    const set = (value: number, effectiveFrom: string) =>
      doActs(keeper, [
        act('setting.set', { key: 'journal.checkpoint-hours', value, effectiveFrom }),
      ]);
    await set(4, '2026-11-01');
    await set(0, '2027-01-01');
    expect(await checkpoints.signIfDue()).toBe(true);
    hours(24 * 60);
    await note('a new year');
    expect(await checkpoints.signIfDue()).toBe(false);
  });

  test('a new key is endorsed by the one before, and what that one signed still holds', async () => {
    const [before] = (await keeper.call(api.journal.keys)).rows;
    const changed = await keeper.call(api.journal.changeKey);
    const { rows } = await keeper.call(api.journal.keys);
    expect(rows.map((k) => k.id)).toEqual([changed.id, before?.id]);
    expect(changed.follows).toBe(before?.id);
    expect(rows[1]?.retiredAt).not.toBeNull();
    const signed = await keeper.call(api.journal.signCheckpoint);
    expect(signed.keyId).toBe(changed.id);
    const report = await verifyDatabase(server.settings.databaseUrl);
    expect(report.failures).toEqual([]);
    expect(report.checkpoints.keyIds).toEqual([before?.id, changed.id].sort());
    const blender = await server.as('keep');
    expect((await problemOf(blender.call(api.journal.changeKey))).status).toBe(403);
  });

  test('a key file that others may read is refused, and says what to do', async () => {
    const file = join(server.settings.dataFolder, 'signing-key.json');
    await chmod(file, 0o644);
    expect((await problemOf(keeper.call(api.journal.signCheckpoint))).status).toBe(500);
    await chmod(file, 0o600);
    expect((await keeper.call(api.journal.signCheckpoint)).seq).toBeGreaterThan(0);
  });

  describe('rundlet verify', () => {
    let folder: string;
    beforeAll(async () => {
      folder = await mkdtemp(join(tmpdir(), 'rundlet-checkpoint-'));
    });
    afterAll(() => rm(folder, { recursive: true }));

    async function rundlet(...args: string[]) {
      const said = { out: '', err: '' };
      const exit = await run(
        ['node', 'rundlet', ...args],
        {
          RUNDLET_URL: server.base,
          RUNDLET_USER: person.signInName,
          RUNDLET_PASSWORD: person.password,
        },
        {
          out: { write: (content) => (said.out += String(content)) },
          err: { write: (content) => (said.err += content) },
        },
      );
      return { exit, ...said };
    }
    let person: { signInName: string; password: string };
    beforeAll(async () => {
      person = await server.signedIn('administer');
    });

    test('holds a letter against the journal, and checks it without a server by the public key', async () => {
      const [latest] = (await keeper.call(api.journal.checkpoints)).rows;
      const letter = await keeper.file(api.journal.checkpointLetter, {
        params: { id: latest?.id ?? '' },
      });
      const file = join(folder, 'letter.txt');
      await writeFile(file, Buffer.from(letter.bytes));
      const verified = await rundlet('verify', '--json', '--checkpoint', file);
      expect(verified.exit, verified.err).toBe(0);
      expect(VerifyReport.parse(JSON.parse(verified.out)).checkpoints.brought).toBe(1);

      const keys = join(folder, 'keys.json');
      await writeFile(keys, (await rundlet('keys')).out);
      const good = await rundlet(
        'verify-statement',
        file,
        '--key',
        keys,
        '--url',
        'http://127.0.0.1:9',
      );
      expect(good).toMatchObject({ exit: 0 });
      expect(good.out).toContain(latest?.hash);
      const text = await readFile(file, 'utf8');
      const changed = join(folder, 'changed.txt');
      await writeFile(
        changed,
        text.replace(latest?.statement.slice(70, 90) ?? '', 'AAAAAAAAAAAAAAAAAAAA'),
      );
      expect((await rundlet('verify-statement', changed, '--key', keys)).exit).toBe(5);
    });
  });

  describe('what somebody changes by hand in the database', () => {
    type Row = Record<string, unknown>;
    /** Makes a change, verifies, and takes the change back. */
    async function afterChanging(table: string, where: string, change: (row: Row) => Row | null) {
      const work = server.app.get(UnitOfWork);
      const at = raw(`"${table}" WHERE ${where}`);
      const replace = (row: Row | null) =>
        work.write(async (tx) => {
          await tx.run(sql`DELETE FROM ${at}`);
          if (row) await tx.insert(table, row);
        });
      const row = await work.write((tx) => tx.one<Row>(sql`SELECT * FROM ${at}`));
      if (!row) throw new Error(`no row of ${table} where ${where}`);
      await replace(change({ ...row }));
      const report = await verifyDatabase(server.settings.databaseUrl);
      await replace(row);
      return report.failures;
    }

    test('a summed or searched column, beside a record that is left alone, is found and its entry named', async () => {
      const posting = await afterChanging('posting', `"cause" = 'received'`, (row) => ({
        ...row,
        ethanolMg: Number(row['ethanolMg']) + 1,
      }));
      expect(posting).toHaveLength(1);
      expect(posting[0]?.record).toMatch(/^posting:/);
      expect(posting[0]?.entrySeq).not.toBeNull();
      const filling = await afterChanging(
        'filling',
        `"id" = '${estate.fillingIds[0] ?? ''}'`,
        (row) => ({ ...row, litresPureAlcohol: Number(row['litresPureAlcohol']) + 1 }),
      );
      expect(filling).toMatchObject([{ record: `filling:${estate.fillingIds[0] ?? ''}` }]);
    });

    test('a row of a list, and what is kept of an entry for taking it back, are found', async () => {
      const [fillingId = ''] = estate.fillingIds;
      const lot = await afterChanging('filling_lot', `"ownerId" = '${fillingId}'`, (row) => ({
        ...row,
        amount: Number(row['amount']) - 5,
      }));
      expect(lot.map((f) => f.record)).toEqual([`filling:${fillingId}`, `filling:${fillingId}`]);
      const gone = await afterChanging(
        'cask_alias',
        `"ownerId" = '${estate.caskIds[1] ?? ''}'`,
        () => null,
      );
      expect(gone).toMatchObject([{ record: `cask:${estate.caskIds[1] ?? ''}` }]);
      const entry = (await keeper.call(api.journal.list, { query: { limit: 1 } })).rows[0];
      const effects = await afterChanging(
        'entry_effect',
        `"entryId" = '${entry?.id ?? ''}'`,
        (row) => ({
          ...row,
          effects: '[]',
        }),
      );
      expect(effects).toMatchObject([{ entrySeq: entry?.seq }]);
    });

    test('a row by which an entry is looked up, gone or exchanged for another, is found and its entry named', async () => {
      const subject = `filling:${estate.fillingIds[0] ?? ''}`;
      const at = `"subject" = '${subject}'`;
      const gone = await afterChanging('journal_subject', at, () => null);
      expect(gone).toMatchObject([{ record: subject }]);
      const seq = gone[0]?.entrySeq ?? 0;
      const other = await afterChanging('journal_subject', at, (row) => ({ ...row, seq: 1 }));
      expect(other.map((f) => f.entrySeq)).toEqual([seq]);
      const work = server.app.get(UnitOfWork);
      await work.write((tx) => tx.insert('journal_subject', { subject, seq: 1 }));
      const added = await verifyDatabase(server.settings.databaseUrl);
      await work.write((tx) =>
        tx.run(sql`DELETE FROM "journal_subject" WHERE "subject" = ${subject} AND "seq" = 1`),
      );
      expect(added.failures).toMatchObject([{ record: subject, entrySeq: 1 }]);
    });

    test('a sum that is kept, changed or gone, is found', async () => {
      const at = `"dimension" = 'account'`;
      const more = await afterChanging('stock_sum', at, (row) => ({
        ...row,
        casks: Number(row['casks']) + 1,
      }));
      expect(more[0]?.what).toBe('a row of the table stock_sum is not what the records add up to');
      expect(more).toHaveLength(2);
      const gone = await afterChanging('posting_balance', '"ethanolMg" <> 0', () => null);
      expect(gone).toHaveLength(1);
    });

    test('an entry changed or taken out is found in the database as in memory', async () => {
      const changed = await afterChanging('journal_entry', '"seq" = 5', (row) => ({
        ...row,
        body: String(row['body']).replace(/.$/, ' }'),
      }));
      expect(changed[0]).toMatchObject({ entrySeq: 5 });
      const gone = await afterChanging('journal_entry', '"seq" = 9', () => null);
      expect(gone[0]).toMatchObject({ entrySeq: 10 });
      expect((await verifyDatabase(server.settings.databaseUrl)).failures).toEqual([]);
    });
  });
});
