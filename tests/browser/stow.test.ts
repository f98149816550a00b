/** From describing a zone to finding a cask behind others, with and without a network. */
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { makeCaskCode, makePositionCode } from '@rundlet/identifiers';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  hasBrowser,
  launch,
  signedInPage,
  SMALL_PHONE,
  startWebServer,
} from '../support/browser.ts';
import type { TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';

describe.skipIf(!hasBrowser)('putaway and finding', () => {
  let server: TestServer;
  let browser: Browser;
  let context: BrowserContext;
  let keeper: Client;
  let estate: SmallEstate;
  let page: Page;
  let faults: string[];
  const zoneId = newId();
  const places = Array.from({ length: 4 }, newId);

  beforeAll(async () => {
    server = await startWebServer();
    keeper = await server.as('read', 'warehouse', 'blend', 'keep');
    estate = await layDownSmallEstate(keeper, { casks: 5 });
    await doActs(keeper, [
      act('zone.register', {
        id: zoneId,
        storeId: estate.storeId,
        code: 'HP-D',
        name: 'Undercroft',
        floor: -1,
      }),
      act('position.register', {
        zoneId,
        positions: places.map((id, i) => ({
          id,
          code: makePositionCode(900 + i),
          row: 'D',
          bay: String(i + 1),
          level: '1',
          slot: '1',
          capacity: 1,
          walkOrder: 2000 + i,
        })),
      }),
      ...[0, 1, 2].map((i) =>
        act('cask.move', { caskId: estate.caskIds[i] ?? '', positionId: places[3 - i] ?? '' }),
      ),
    ]);
    browser = await launch();
    context = await browser.newContext({ viewport: SMALL_PHONE });
    ({ page, faults } = await signedInPage(context, server, 'read', 'warehouse', 'blend', 'keep'));
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  });

  const inTheWay = () =>
    page
      .getByRole('list', { name: /^To be shifted to reach/ })
      .getByRole('listitem')
      .allInnerTexts();

  test('a keeper describes the zone from the map', async () => {
    await page.goto(`${server.base}/map?zone=${zoneId}`);
    await page.getByText('Nobody has said yet how this zone is stowed.').waitFor();
    await page.getByRole('link', { name: 'Describe it' }).click();
    await page.getByLabel('on dunnage').check();
    await page.getByLabel('Where one gets at a row').selectOption('lowest-bay');
    await page.getByRole('button', { name: 'Keep this description' }).click();
    await page.getByText('The zone is described').waitFor();
    await page.getByRole('link', { name: 'To the map' }).click();
    await page.getByText(/^Stowed on dunnage/).waitFor();
    const { rows } = await keeper.call(api.places.stores);
    const zone = rows.flatMap(({ zones }) => zones).find((one) => one.zone.id === zoneId)?.zone;
    expect(zone?.stow).toEqual({ kind: 'dunnage', mouth: 'lowest-bay', largestCaskLitres: null });
  });

  test('the card leads to the map, the cask lit, with what is shifted first in order', async () => {
    await page.goto(`${server.base}/casks/${estate.caskIds[0] ?? ''}`);
    await page.getByRole('link', { name: 'find it' }).click();
    await page.getByRole('heading', { name: 'Shift 2 places first' }).waitFor();
    const list = await inTheWay();
    expect(list).toHaveLength(2);
    expect(list[0]).toContain('D 2 1 1');
    expect(list[1]).toContain('D 3 1 1');
    expect(await page.locator('.slot-lit:not(li .slot)').count()).toBe(1);
    const turns = page.locator('table .slot-in-the-way');
    expect(
      await turns.evaluateAll((all) => all.map((one) => one.getAttribute('data-turn'))),
    ).toEqual(['1', '2']);
  });

  test('a move is offered places with their reasons, and takes one', async () => {
    const caskId = estate.caskIds[3] ?? '';
    await page.goto(`${server.base}/casks/${caskId}/move`);
    const offers = page.getByRole('group', { name: 'Suggested places' }).getByRole('button');
    await offers.first().waitFor();
    const mouth = offers.filter({ hasText: 'bay 1 · level 1' }).filter({ hasText: 'row D' });
    expect(await mouth.innerText()).toContain('nothing to shift');
    await mouth.click();
    await page.getByRole('button', { name: 'Book the move' }).click();
    await page.getByText('The move is booked').waitFor();
    const card = await keeper.call(api.casks.card, { params: { id: caskId } });
    expect(card.cask.positionId).toBe(places[0]);
  });

  test('without a network the map, the places and the walk come from the device', async () => {
    await page.goto(`${server.base}/store`);
    const fetched = page.waitForResponse(/\/api\/stores\/[^/]+\/aisle$/);
    await page.getByRole('button', { name: 'Fetch again' }).click();
    await fetched;
    await page.getByRole('button', { name: 'Fetch again' }).waitFor();
    await context.setOffline(true);
    await page.goto(`${server.base}/map?cask=${estate.caskIds[0] ?? ''}`);
    await page.getByRole('heading', { name: 'Shift 3 places first' }).waitFor();
    await page.goto(`${server.base}/casks/${estate.caskIds[2] ?? ''}/move`);
    await page.getByText('By what this device knows, which is neither').waitFor();
    await page.goto(`${server.base}/walk`);
    await page.getByLabel('Casks').fill([0, 2, 1].map((i) => makeCaskCode(i)).join('\n'));
    await page.getByRole('heading', { name: '3 casks' }).waitFor();
    const stops = await page.locator('main ol > li').allInnerTexts();
    expect(stops.map((stop) => /bay (\d)/.exec(stop)?.[1])).toEqual(['2', '3', '4']);
    expect(stops[2]).toContain('3 lifts to reach it');
    await context.setOffline(false);
  });

  test('a plan’s pick list works without a network, and what was scanned out goes out once there is one', async () => {
    const planId = newId();
    const [, , , fourth = ''] = estate.fillingIds;
    const caskId = estate.caskIds[3] ?? '';
    await doActs(keeper, [
      act('plan.save', {
        id: planId,
        code: 'PLAN-OFF',
        name: 'Harbour light',
        blendOn: '2030-01-01',
        targetLitresAt20C: 250,
        targetStrengthPercentVol: 46,
        request: {},
        answer: {},
        parts: [{ fillingId: fourth, bulkLitresAt20C: 190, strengthPercentVol: 61, whole: true }],
        waterLitresAt20C: 60,
      }),
      act('plan.reserve', { planId, vatId: estate.vatId }),
    ]);
    await page.goto(`${server.base}/plans/${planId}`);
    await page.getByText('Cask in front of you').waitFor();
    await context.setOffline(true);
    await page.goto(`${server.base}/plans`);
    await page.getByRole('link', { name: 'PLAN-OFF Harbour light' }).click();
    await page.getByText('As this device holds it').waitFor();
    await page.getByLabel('Cask in front of you').fill(makeCaskCode(3));
    await page.getByLabel('Cask in front of you').press('Enter');
    await page.getByText('Every cask is out').waitFor();
    const viewOf = () => keeper.call(api.blends.plan, { params: { id: planId } });
    expect((await viewOf()).picks[0]?.outAt).toBeNull();
    await context.setOffline(false);
    await expect
      .poll(async () => (await viewOf()).picks[0]?.outAt, { timeout: 60_000 })
      .not.toBeNull();
    expect((await viewOf()).picks[0]?.caskId).toBe(caskId);
  });

  test('the list of casks leads to their walking order', async () => {
    await page.goto(`${server.base}/stock`);
    await page.getByRole('button', { name: 'Walking order' }).click();
    await page.getByRole('heading', { name: '5 casks' }).waitFor();
    expect(await page.locator('main ol > li').count()).toBe(5);
    expect(faults).toEqual([]);
  });
});
