/** A count with the network cut, the tab killed and the session ended: every cask is booked, once. */
import { api } from '@rundlet/contracts';
import { makeCaskCode, makePositionCode } from '@rundlet/identifiers';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import sql from 'sql-template-tag';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { UnitOfWork } from '../../apps/server/src/database/unit-of-work.ts';
import { hasBrowser, launch, PHONE, signedInPage, startWebServer } from '../support/browser.ts';
import type { TestServer } from '../support/server.ts';
import { act, doActs, layDownSmallEstate, newId } from '../support/small-estate.ts';

const CASKS = 200;
const STOCKTAKE = newId();

describe.skipIf(!hasBrowser)('without a network', () => {
  let server: TestServer;
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  let faults: string[];
  let person: { signInName: string; password: string };

  beforeAll(async () => {
    server = await startWebServer();
    const keeper = await server.as('read', 'warehouse', 'blend', 'keep');
    const estate = await layDownSmallEstate(keeper, { casks: CASKS });
    await doActs(keeper, [
      act('stocktake.open', {
        id: STOCKTAKE,
        code: 'ST-OFF',
        title: 'Without a signal',
        blind: false,
        scope: { storeId: estate.storeId, zoneIds: [], rows: [] },
      }),
    ]);
    browser = await launch();
    context = await browser.newContext({ viewport: PHONE });
    ({ page, faults, ...person } = await signedInPage(context, server, 'read', 'warehouse'));
  }, 180_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  });

  const openCount = () => page.goto(`${server.base}/counts/${STOCKTAKE}`);

  /** Types a position's code and the cask's that stands there, as a hand scanner does, and waits for each to be taken. */
  const countFrom = (first: number, last: number) =>
    page.evaluate(
      async ({ codes }) => {
        const scan = (code: string) => {
          for (const key of [...code, 'Enter'])
            document.body.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
        };
        const until = async (holds: () => boolean, what: string) => {
          for (let tries = 0; !holds(); tries++) {
            if (tries > 2000) throw new Error(`Not seen: ${what}`);
            await new Promise((resolve) => setTimeout(resolve, 2));
          }
        };
        const notice = () =>
          document.querySelector('.notice[role=status] strong')?.textContent ?? '';
        for (const { place, words, cask } of codes) {
          scan(place);
          await until(
            () => document.querySelector('main .card strong')?.textContent === words,
            words,
          );
          scan(cask);
          await until(() => notice() === `${cask} counted`, `${cask} counted`);
        }
      },
      {
        codes: Array.from({ length: last - first }, (_, n) => {
          const i = first + n;
          return {
            place: makePositionCode(i),
            words: `row ${i % 2 === 0 ? 'A' : 'B'} · bay ${String(i)} · level 1 · slot 1`,
            cask: makeCaskCode(i),
          };
        }),
      },
    );

  const killTab = async () => {
    const session = await context.newCDPSession(page);
    const crashed = new Promise((resolve) => page.once('crash', resolve));
    void session.send('Page.crash').catch(() => undefined);
    await crashed;
    await page.close();
    page = await context.newPage();
  };
  const unsent = (n: number) =>
    page.getByText(new RegExp(`${String(n)} (entries )?not sent`)).first();

  test('the program and the store are on the device before the network goes', async () => {
    await page.goto(`${server.base}/store`);
    await page.getByText('Casks kept').waitFor();
    await page.waitForFunction(async () => {
      await navigator.serviceWorker.ready;
      return navigator.serviceWorker.controller !== null;
    });
    await context.setOffline(true);
    await openCount();
    await page.getByText(`0 of ${String(CASKS)} expected casks`).waitFor();
  });

  test(`${String(CASKS)} casks are counted through two killed tabs`, async () => {
    await countFrom(0, 90);
    await killTab();
    await openCount();
    await page.getByText(`90 of ${String(CASKS)} expected casks`).waitFor();
    await countFrom(90, CASKS);
    await unsent(CASKS).waitFor();
    await killTab();
    await openCount();
    await page.getByText(`${String(CASKS)} of ${String(CASKS)} expected casks`).waitFor();
    await unsent(CASKS).waitFor();
  });

  test('after days the server asks for a sign-in first; the count stays open and nothing is lost', async () => {
    await server.app.get(UnitOfWork).write(async (tx) => {
      await tx.run(sql`DELETE FROM "session"`);
    });
    await context.setOffline(false);
    await page.getByRole('button', { name: 'Sign in to send' }).click();
    await page.getByRole('heading', { name: 'On this device' }).waitFor();
    await page.getByLabel('Sign-in name').fill(person.signInName);
    await page.getByLabel('Password').fill(person.password);
    await page.getByRole('button', { name: 'Sign in', exact: true }).click();
    await page.getByText('All sent').waitFor();
  });

  test('every count stands in the journal once, and every cask is found', async () => {
    const reader = await server.as('read');
    const { tally } = await reader.call(api.stocktakes.get, { params: { id: STOCKTAKE } });
    expect(tally).toMatchObject({ expected: CASKS, found: CASKS, twice: 0, stillToFind: 0 });
    const entries: { words: string }[] = [];
    let after: string | undefined;
    do {
      const next = await reader.call(api.journal.list, {
        query: { kind: 'stocktake.count', limit: 100, ...(after ? { after } : {}) },
      });
      entries.push(...next.rows);
      after = next.next ?? undefined;
    } while (after !== undefined);
    expect(entries).toHaveLength(CASKS);
    expect(new Set(entries.map(({ words }) => words.split(' ')[0])).size).toBe(CASKS);
    expect(faults).toEqual([]);
  });
});
