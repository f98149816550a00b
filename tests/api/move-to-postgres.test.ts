/** An estate that has outgrown its file goes on, on a PostgreSQL, with its keys, people and history. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import sql from 'sql-template-tag';
import { api } from '@rundlet/contracts';
import { run } from '../../apps/cli/src/program.ts';
import { createApp } from '../../apps/server/src/create-app.ts';
import { connect, disconnect } from '../../apps/server/src/database/data-source.ts';
import { Rows } from '../../apps/server/src/database/rows.ts';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { databases, emptyDatabase, type EmptyDatabase } from '../support/database.ts';
import { isOver, until } from '../support/jobs.ts';
import { ensureServerBuilt } from '../support/process.ts';
import { clientOf, startServer, type TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, type SmallEstate } from '../support/small-estate.ts';

describe.runIf(databases.includes('postgres'))('move to PostgreSQL', () => {
  let folder: string;
  let server: TestServer;
  let target: EmptyDatabase;
  let estate: SmallEstate;
  let person: { signInName: string; password: string };
  beforeAll(async () => {
    await ensureServerBuilt();
    folder = await mkdtemp(join(tmpdir(), 'rundlet-move-'));
    const DATABASE_URL = `sqlite:${join(folder, 'rundlet.sqlite')}`;
    server = await startServer('file', { environment: { RUNDLET_DATA: folder, DATABASE_URL } });
    target = await emptyDatabase('postgres');
    const keeper = await server.signedIn('administer');
    person = keeper;
    estate = await layDownSmallEstate(keeper, { casks: 9 });
    const [caskId = ''] = estate.caskIds;
    await doActs(keeper, [
      act('cask.note', { caskId, text: 'Zoë’s note — 20 °C, “sealed” \u{1F6E2} \\u0000 \n end' }),
      act('cask.gauge', {
        caskId,
        readings: { method: 'declared', bulkLitresAt20C: 191.3, strengthPercentVol: 61.7 },
      }),
      act('cask.move', { caskId, positionId: estate.positionIds.at(-1) ?? '' }),
    ]);
    const hours = Array.from({ length: 3000 }, (_, i) =>
      [
        new Date(Date.UTC(2025, 0, 1, i)).toISOString(),
        10 + (i % 17) / 3,
        60 + (i % 29) / 7,
      ].join(),
    );
    await keeper.call(api.maturation.importClimate, {
      params: { id: estate.zoneId },
      body: {
        actId: act('cask.note', { caskId, text: '' }).id,
        logger: 'hall',
        csv: ['time,temperature C,humidity %', ...hours].join('\n'),
        apply: true,
      },
    });
    await keeper.call(api.journal.signCheckpoint);
    const { jobId } = await keeper.call(api.maturation.calibrate);
    await until(keeper, jobId, isOver);
  });
  afterAll(async () => {
    await target.drop();
    await server.stop();
    await rm(folder, { recursive: true });
  });

  const move = async (to = target) => {
    const said = { out: '', err: '' };
    const exit = await run(
      ['node', 'rundlet', 'move-to-postgres', '--json', '--data', folder],
      { DATABASE_URL: to.url },
      {
        out: { write: (content) => (said.out += String(content)) },
        err: { write: (content) => (said.err += content) },
      },
    );
    return { exit, ...said };
  };

  test('is refused while a server has the file open', async () => {
    const { exit, err } = await move();
    expect(exit).toBe(3);
    expect(err).toContain('Stop it first');
  });

  test('copies all, compares it, verifies it, and says what stays in the folder', async () => {
    await server.app.close();
    const { exit, out, err } = await move();
    expect(err).toContain('climate_reading: 3000 of 3000 rows');
    expect(exit).toBe(0);
    const moved = JSON.parse(out) as { entries: number; ok: boolean; rows: number };
    expect(moved.ok).toBe(true);
    expect(moved.entries).toBeGreaterThan(30);
    expect(moved.rows).toBeGreaterThan(3000 + moved.entries);
  });

  test('what is there comes out as it went in: texts, thirds and truth', async () => {
    const [from, to] = [await connect(server.settings.databaseUrl), await connect(target.url)];
    for (const statement of [
      sql`SELECT "body", "hash" FROM "journal_entry" ORDER BY "seq"`,
      sql`SELECT "at", "temperatureC", "relativeHumidityPercent" FROM "climate_reading" ORDER BY "zoneId", "at"`,
      sql`SELECT "id", "ethanolMg" FROM "posting" ORDER BY "id"`,
    ])
      expect(await new Rows(to.reader).all(statement)).toEqual(
        await new Rows(from.reader).all(statement),
      );
    const flag = sql`SELECT "disabled" FROM "person"`;
    expect(await new Rows(to.reader).one(flag)).toEqual({ disabled: false });
    await Promise.all([disconnect(from), disconnect(to)]);
  });

  test('the server goes on there: people sign in, the journal grows by its own key', async () => {
    const app = await createApp({ ...server.settings, databaseUrl: target.url });
    await app.listen(0, '127.0.0.1');
    const headers: Record<string, string> = {};
    const client = clientOf(await app.getUrl(), headers);
    const { signInName, password } = person;
    const { csrfToken } = await client.call(api.session.signIn, { body: { signInName, password } });
    headers['x-csrf-token'] = csrfToken;
    const [caskId = ''] = estate.caskIds;
    await doActs(client, [act('cask.note', { caskId, text: 'after the move' })]);
    await client.call(api.journal.signCheckpoint);
    const keys = await client.call(api.journal.keys);
    expect(keys.rows).toHaveLength(1);
    const { jobId } = await client.call(api.journal.verify, { body: { checkpoints: [] } });
    expect((await until(client, jobId, isOver)).result).toMatchObject({ ok: true });
    await app.close();
  });

  test('is refused once there is something', async () => {
    const { exit, err } = await move();
    expect(exit).toBe(3);
    expect(err).toContain('not empty');
  });

  test('a copy that differs is not kept', async () => {
    const other = await emptyDatabase('postgres');
    const from = await connect(server.settings.databaseUrl);
    // A number that PostgreSQL can’t hold in a column of whole ones fails the copy half-way.
    await new UnitOfWork(from).write((tx) =>
      tx.run(
        sql`UPDATE "posting" SET "ethanolMg" = 0.5 WHERE "id" = (SELECT MIN("id") FROM "posting")`,
      ),
    );
    await disconnect(from);
    const { exit } = await move(other);
    expect(exit).toBe(1);
    const to = await connect(other.url);
    expect(await new Rows(to.reader).one(sql`SELECT COUNT(*) AS n FROM "journal_entry"`)).toEqual({
      n: 0,
    });
    await disconnect(to);
    await other.drop();
  });
});
