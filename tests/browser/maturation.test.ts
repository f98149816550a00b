/** A leak flagged by a gauge, judged by the keeper at the desk, and a future tried for a cask. */
import { api } from '@rundlet/contracts';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DESK, hasBrowser, launch, signedInPage, startWebServer } from '../support/browser.ts';
import type { TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, type SmallEstate } from '../support/small-estate.ts';

const gauge = (caskId: string, takenAt: string, bulkLitresAt20C: number, strength: number) =>
  act(
    'cask.gauge',
    {
      caskId,
      readings: {
        method: 'declared',
        bulkLitresAt20C,
        strengthPercentVol: strength,
        uncertaintyLitres: 0.8,
        uncertaintyPercentVol: 0.1,
      },
    },
    { happenedAt: takenAt },
  );

describe.skipIf(!hasBrowser)('maturation at the desk', () => {
  let server: TestServer;
  let browser: Browser;
  let estate: SmallEstate;

  beforeAll(async () => {
    server = await startWebServer();
    const keeper = await server.as('read', 'warehouse', 'blend', 'keep');
    estate = await layDownSmallEstate(keeper, { casks: 6 });
    const filled = estate.caskIds.slice(0, 5);
    await doActs(
      keeper,
      filled.flatMap((id) => [
        gauge(id, '2022-05-04T10:00:00.000Z', 190, 62.9),
        gauge(id, '2024-05-06T10:00:00.000Z', 183, 62.3),
      ]),
    );
    const { jobId } = await keeper.call(api.maturation.calibrate);
    for (;;) {
      const job = await keeper.call(api.jobs.get, { params: { id: jobId } });
      if (job.finishedAt !== null) break;
      await new Promise((go) => setTimeout(go, 100));
    }
    await doActs(keeper, [gauge(filled[0] ?? '', '2025-05-06T10:00:00.000Z', 150, 61.9)]);
    browser = await launch();
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  });

  test('the keeper settles the suspicion, and tries holding a cask for longer', async () => {
    const context = await browser.newContext({ viewport: DESK });
    const { page, faults } = await signedInPage(context, server, 'read', 'warehouse', 'keep');
    await page.goto(`${server.base}/suspicions`);
    await page
      .getByText(/% sure/)
      .first()
      .waitFor();
    await page.getByText('it leaks or has leaked').click();
    await page.getByLabel('Seen, or why').fill('Weeping at the chime.');
    await page.getByRole('button', { name: 'Keep this in the journal' }).click();
    await page.getByText('Nothing is suspected here').waitFor();
    const cask = estate.caskIds[1] ?? '';
    await page.goto(`${server.base}/what-if/casks/${cask}`);
    const longer = page.getByRole('row', { name: /held 2 years longer/ });
    await longer.waitFor();
    // Two more years in oak cost alcohol: the difference stands with a minus sign.
    expect(await longer.getByRole('cell').last().textContent()).toMatch(/^−/);
    expect(faults).toEqual([]);
    await context.close();
  }, 60_000);
});
