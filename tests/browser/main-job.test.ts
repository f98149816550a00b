/** A day's work in a real browser: fill, label, scan the label's own image, gauge, forecast, blend, trace. */
import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { api } from '@rundlet/contracts';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  DESK,
  hasBrowser,
  launch,
  PHONE,
  signedInPage,
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

describe.skipIf(!hasBrowser)('the main job', () => {
  let server: TestServer;
  let browser: Browser;
  let estate: SmallEstate;
  let page: Page;
  let faults: string[];
  let caskCode = '';
  const blendVatId = newId();

  beforeAll(async () => {
    server = await startWebServer();
    const keeper = await server.as('read', 'warehouse', 'blend', 'keep');
    estate = await layDownSmallEstate(keeper, { casks: 7 });
    await doActs(keeper, [
      act('vat.register', {
        id: blendVatId,
        code: 'BLEND-1',
        name: 'Blending vat',
        storeId: estate.storeId,
        accountId: estate.accountId,
        capacityLitres: 5000,
      }),
    ]);
    browser = await launch();
    const context = await browser.newContext({ viewport: PHONE });
    ({ page, faults } = await signedInPage(context, server, 'read', 'warehouse', 'blend', 'keep'));
  });
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  });
  const go = (path: string) => page.goto(server.base + path);

  test('a cask is filled from a vat by weight and the vat’s balance closes', async () => {
    const keeper = await server.as('read');
    const empty = (await keeper.call(api.casks.list, { query: { status: 'empty' } })).rows[0];
    caskCode = empty?.code ?? '';
    await go('/fill');
    await page.getByLabel('Fill from').selectOption({ index: 1 });
    await page.getByRole('button', { name: 'Begin the run' }).click();
    await page.getByLabel('Cask', { exact: true }).fill(caskCode);
    await page.getByLabel('Cask', { exact: true }).press('Enter');
    await page.getByText('Weight', { exact: true }).click();
    await page.getByLabel('Full weight').fill('226');
    await page.getByLabel('Empty weight').fill('46');
    await page.getByLabel('Liquid temperature').fill('16');
    await page.getByLabel('Reading').fill('62.1');
    await page.getByRole('button', { name: 'Book this fill' }).click();
    await page.getByText('That was the last cask').waitFor();
    const card = await keeper.call(api.casks.card, { params: { id: empty?.id ?? '' } });
    expect(card.filling?.figures.bulkLitresAt20C).toBeGreaterThan(190);
    expect(card.filling?.fillMethod).toBe('weight');
  });

  test('its label is printed, and the label’s own picture leads to the cask’s card', async () => {
    const keeper = await server.as('read', 'warehouse');
    const cask = (await keeper.call(api.casks.list, { query: { search: caskCode } })).rows[0];
    const templates = (await keeper.call(api.labels.templates)).rows.filter(
      (t) => t.subject === 'cask' && t.medium === 'roll',
    );
    const png = await keeper.file(api.labels.render, {
      body: {
        templateId: templates[0]?.id ?? '',
        subjectIds: [cask?.id ?? ''],
        format: 'png',
        dpi: 300,
      },
    });
    const picture = join(await mkdtemp(join(tmpdir(), 'rundlet-label-')), 'label.png');
    await writeFile(picture, new Uint8Array(png.bytes));
    await go('/scan');
    await page.locator('input[type=file]').first().setInputFiles(picture);
    await page.waitForURL(new RegExp(`/casks/${cask?.id ?? ''}`));
    await page.getByText(caskCode.slice(0, 4)).first().waitFor();
  });

  test('a typed code with a slip is refused with the nearest cask, and the right one opens the card', async () => {
    await go('/scan');
    const slipped = caskCode.slice(0, -1) + (caskCode.endsWith('A') ? 'B' : 'A');
    await page.getByLabel('Code', { exact: true }).fill(slipped);
    await page.getByLabel('Code', { exact: true }).press('Enter');
    await page.getByText(caskCode.slice(0, 4)).first().waitFor();
    await page.getByLabel('Code', { exact: true }).fill(caskCode.toLowerCase());
    await page.getByLabel('Code', { exact: true }).press('Enter');
    await page.waitForURL(/\/casks\//);
  });

  test('an older cask is gauged by dip, with the loss shown', async () => {
    await go(`/casks/${estate.caskIds[0] ?? ''}/gauge`);
    await page.getByText('From a document').click();
    await page.getByLabel('Bulk at 20 °C').fill('181.4');
    await page.getByLabel('Strength at 20 °C').fill('60.9');
    await page.getByRole('button', { name: /Book/ }).click();
    await page
      .getByText(/booked/i)
      .first()
      .waitFor();
    const card = await (
      await server.as('read')
    ).call(api.casks.card, { params: { id: estate.caskIds[0] ?? '' } });
    expect(card.filling?.figures.bulkLitresAt20C).toBeCloseTo(181.4, 3);
    expect(card.lossSinceFill?.bulkLitres).toBeCloseTo(18.6, 2);
  });

  test('a strength of 400 is refused at its field and nothing is written', async () => {
    await go(`/casks/${estate.caskIds[1] ?? ''}/gauge`);
    await page.getByText('From a document').click();
    await page.getByLabel('Bulk at 20 °C').fill('190');
    await page.getByLabel('Strength at 20 °C').fill('400');
    const button = page.getByRole('button', { name: /Book/ });
    if (await button.isEnabled()) await button.click();
    await page
      .getByText(/at most 100|between 0 and 100|0 to 100/)
      .first()
      .waitFor();
    const card = await (
      await server.as('read')
    ).call(api.casks.card, { params: { id: estate.caskIds[1] ?? '' } });
    expect(card.gauges).toHaveLength(0);
  });

  test('its forecast is drawn with an interval and a date for the floor', async () => {
    await page.setViewportSize(DESK);
    await go(`/forecast/casks/${estate.caskIds[0] ?? ''}`);
    await page.locator('.time-plot canvas').first().waitFor();
    await page.getByText('Falls below').waitFor();
    await page.getByText('What this rests on').waitFor();
  });

  test('a blend is planned, compared with others, planned again around kept casks and kept', async () => {
    await go('/blend');
    await page.getByLabel('Volume at 20 °C').fill('540');
    await page.getByLabel('give or take').first().fill('8');
    await page.getByLabel('Strength at 20 °C').fill('46');
    await page.getByText('The search', { exact: true }).click();
    await page.getByLabel('Other plans to compare').fill('1');
    await page.getByRole('button', { name: 'Find the casks' }).click();
    const answer = page.locator('.notice').filter({ hasText: /looked at in/ });
    await answer.waitFor({ timeout: 100_000 });
    expect(await answer.textContent()).toMatch(/Proven best|A good plan/);
    await page.getByText('times of 100').first().waitFor();
    await page.getByRole('button', { name: 'Look at plan 2' }).click();
    const keep = page.getByLabel(/^Keep C/).first();
    const kept = ((await keep.locator('..').textContent()) ?? '').replace('Keep ', '').trim();
    await keep.check();
    await page.getByRole('button', { name: 'Plan the rest again' }).click();
    await answer.waitFor({ state: 'detached' });
    await answer.waitFor({ timeout: 100_000 });
    await page.getByRole('button', { name: `Don’t keep ${kept}` }).waitFor();
    expect(await page.getByLabel(`Keep ${kept}`, { exact: true }).isChecked()).toBe(true);
    await page.getByLabel('Name', { exact: true }).fill('Harbour light');
    await page.getByLabel('Code', { exact: true }).fill('HL-1');
    await page.getByRole('button', { name: 'Keep the plan' }).click();
    await page.waitForURL(/\/plans\//);
  });

  test('its casks are reserved, scanned out, drawn, the vat gauged, trimmed and recorded; shares sum to 1', async () => {
    const reader = await server.as('read');
    await page.getByLabel('They are to be drawn into').selectOption(blendVatId);
    await page.getByRole('button', { name: 'Reserve the casks' }).click();
    await page.getByText('Cask in front of you').waitFor();
    const [listed] = (await reader.call(api.blends.plans)).rows;
    const planId = listed?.id ?? '';
    const viewOf = () => reader.call(api.blends.plan, { params: { id: planId } });
    const { picks } = await viewOf();
    // A cask that is not in the plan stays where it is.
    const strangers = estate.caskIds.filter((id) => !picks.some((p) => p.caskId === id));
    const cask = page.getByLabel('Cask in front of you');
    const stranger = await reader.call(api.casks.card, { params: { id: strangers[0] ?? '' } });
    await cask.fill(stranger.cask.code);
    await cask.press('Enter');
    await page.getByText('is not in this plan').waitFor();
    for (const { caskCode } of picks) {
      await cask.fill(caskCode);
      await cask.press('Enter');
      // The last scan leads straight to the next step.
      await page
        .getByText(`${caskCode} is out`)
        .or(page.getByRole('button', { name: /^Draw C/ }))
        .first()
        .waitFor();
    }
    const draw = page.getByRole('button', { name: /^Draw C/ });
    for (let drawn = 0; drawn < picks.length; drawn++) {
      await draw.waitFor();
      const label = await draw.textContent();
      await page.getByText('Gauge it first').click();
      await draw.click();
      await page.waitForFunction(
        (before) => ![...document.querySelectorAll('button')].some((b) => b.textContent === before),
        label,
      );
    }
    await page.getByText('By the book it holds').waitFor();
    await page.getByText('From a document').click();
    // What was really there is 4 L more than the book says.
    const before = (await viewOf()).vat?.figures;
    await page.getByLabel('Bulk at 20 °C').fill(((before?.bulkLitresAt20C ?? 0) + 4).toFixed(1));
    await page.getByLabel('Strength at 20 °C').fill((before?.strengthPercentVol ?? 0).toFixed(2));
    await page.getByRole('button', { name: 'Book the gauge' }).click();
    await page.getByText('Water to add now').waitFor();
    await page.getByLabel('Lower by at most').fill('60');
    const trim = await reader.call(api.blends.trim, { params: { id: planId }, query: {} });
    expect(trim.reachable).toBe(true);
    expect(trim.vatLitresAt20C).toBeCloseTo((before?.bulkLitresAt20C ?? 0) + 4, 0);
    await page.getByRole('button', { name: 'Book the water' }).click();
    await page.getByLabel('Blend code').waitFor();
    await page.getByLabel('Blend code').fill('HL-B1');
    await page.getByText('From a document').click();
    const { vat } = await viewOf();
    expect(vat?.figures.strengthPercentVol).toBeCloseTo(46, 1);
    await page.getByLabel('Bulk at 20 °C').fill((vat?.figures.bulkLitresAt20C ?? 0).toFixed(1));
    await page.getByLabel('Strength at 20 °C').fill('46');
    await page.getByRole('button', { name: 'Record the blend' }).click();
    await page.waitForURL(/\/blends\//);
    const id = page.url().split('/').at(-1) ?? '';
    const { blend } = await reader.call(api.blends.blend, { params: { id } });
    expect(Object.values(blend.lotShares).reduce((s, v) => s + v, 0)).toBeCloseTo(1, 9);
    expect(blend.fillings).toHaveLength(picks.length);
  });

  test('the blend is traced back to its plot, and the plot forward to every cask', async () => {
    await page.getByRole('link', { name: 'Trace it' }).click();
    await page.locator('.lineage').waitFor();
    await page.getByRole('cell', { name: 'plot', exact: true }).first().waitFor();
    await go(`/recall/plot/${estate.plotId}`);
    await page.getByText('Casks that hold some').waitFor();
    expect(faults).toEqual([]);
  });

  test('an administrator sets what casks cost; a wrong figure is told at its field', async () => {
    const context = await browser.newContext({ viewport: DESK });
    const { page, faults } = await signedInPage(context, server, 'read', 'blend', 'administer');
    const reader = await server.as('read');
    const costs = async () => (await reader.call(api.blends.vocabulary)).costs;
    expect((await costs()).assumed).toBe(true);
    await page.goto(`${server.base}/blend`);
    await page.getByLabel('Aim', { exact: true }).selectOption('least-cost');
    await page.getByText('These figures are assumed').waitFor();
    const storage = page.getByLabel('Storage, pure alcohol');
    await page.getByLabel('New spirit, pure alcohol').fill('9.5');
    await storage.fill('-1');
    const set = page.getByRole('button', { name: 'Set these costs' });
    await set.click();
    await page.locator('.field-error').first().waitFor();
    expect(await storage.getAttribute('aria-invalid')).toBe('true');
    expect((await costs()).assumed).toBe(true);
    await storage.fill('0.25');
    await set.click();
    await page.getByText('As set for the estate, in its currency.').waitFor();
    expect(await costs()).toMatchObject({
      newSpiritPerLitrePureAlcohol: 9.5,
      storagePerLitrePureAlcoholYear: 0.25,
      assumed: false,
    });
    // A field that says nothing can't be sent.
    await storage.fill('');
    expect(await set.isDisabled()).toBe(true);
    expect(faults).toEqual([]);
    await context.close();
  });

  test('a cask is released from duty suspension with its paper’s number, and says so', async () => {
    const keeper = await server.as('read');
    const [cask] = (await keeper.call(api.casks.list, { query: { status: 'filled' } })).rows;
    await go(`/casks/${cask?.id ?? ''}`);
    await page.getByRole('link', { name: 'Release' }).click();
    await page.getByText('check with your authority').first().waitFor();
    await page.getByRole('button', { name: 'Release it' }).click();
    await page.locator('.field-error').waitFor();
    await page.getByLabel('Released by').fill('W-17');
    await page.getByRole('button', { name: 'Release it' }).click();
    await page.getByText('duty-paid and out of the account').waitFor();
    await page.getByRole('link', { name: 'Back to the card' }).click();
    await page.getByText('duty-paid', { exact: true }).waitFor();
    const { rows } = await keeper.call(api.casks.list, { query: { dutyStatus: 'paid' } });
    expect(rows.map(({ id }) => id)).toEqual([cask?.id]);
  });
});
