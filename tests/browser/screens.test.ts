/** Every screen at phone and desk size: opens without a fault, fits its width, and has no accessibility violation by axe-core. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { api } from '@rundlet/contracts';
import type { Client } from '@rundlet/client';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  DESK,
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

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

describe.skipIf(!hasBrowser)('every screen', () => {
  let server: TestServer;
  let browser: Browser;
  let estate: SmallEstate;
  let paths: string[] = [];

  beforeAll(async () => {
    server = await startWebServer();
    const keeper = await server.as('read', 'warehouse', 'blend', 'keep');
    estate = await layDownSmallEstate(keeper, { casks: 5 });
    const plans = await keepTwoPlans(keeper, estate);
    const checkpoint = await keeper.call(api.journal.signCheckpoint);
    const runId = newId();
    await doActs(keeper, [
      act('bottling.record', {
        id: runId,
        code: 'B26-1',
        name: 'Tern Russet',
        vatId: estate.vatId,
        blendId: null,
        bulkLitresAt20C: 100,
        bottles: 140,
        bottleMl: 700,
        labelStrengthPercentVol: 63.5,
        gtin: null,
      }),
    ]);
    await keeper.call(api.bottlings.publish, {
      params: { id: runId },
      body: { facts: ['plots', 'varieties', 'years', 'store-climate'] },
    });
    const stocktakeId = await countWithFindings(keeper, estate);
    const cask = estate.caskIds[0] ?? '';
    paths = [
      '/scan',
      '/fill',
      '/counts',
      '/counts/new',
      '/counts/accuracy',
      `/counts/${stocktakeId}`,
      `/counts/${stocktakeId}/sheet`,
      '/labels',
      '/labels/printers',
      '/labels/templates',
      '/vats',
      `/vats/${estate.vatId}`,
      '/casks/new',
      `/casks/${cask}`,
      ...[
        'gauge',
        'move',
        'sample',
        'top-up',
        're-rack',
        'empty',
        'inspect',
        'note',
        'alias',
        'measure',
        'hold',
        'owner',
        'duty',
        'retire',
      ].map((kind) => `/casks/${cask}/${kind}`),
      `/positions/${estate.positionIds[0] ?? ''}`,
      '/store',
      '/map',
      `/map?cask=${cask}`,
      `/zones/${estate.zoneId}`,
      '/walk',
      '/https',
      '/outbox',
      '/held',
      '/overview',
      '/stock',
      '/forecast',
      `/forecast/casks/${cask}`,
      `/what-if/casks/${cask}`,
      '/what-if',
      `/wood/casks/${cask}`,
      `/casks/${cask}/result`,
      '/regauge',
      '/suspicions',
      '/climate',
      '/blend',
      '/plans',
      ...plans.map((id) => `/plans/${id}`),
      `/blend?plan=${plans[0] ?? ''}`,
      '/blends',
      '/origins',
      '/origins/plot/new',
      '/origins/ferment/new',
      `/origins/plot/${estate.plotId}`,
      `/origins/ferment/${estate.fermentId}`,
      `/origins/spirit-lot/${estate.lotId}`,
      `/origins/still-run/${estate.stillRunId}/correct`,
      `/lineage/plot/${estate.plotId}?forth`,
      `/lineage/filling/${estate.fillingIds[0] ?? ''}`,
      `/recall/plot/${estate.plotId}`,
      `/recall/filling/${estate.fillingIds[0] ?? ''}`,
      '/return',
      '/return/2020-05',
      '/account-terms',
      '/owners',
      `/owners/${estate.accountId}`,
      `/owners/${estate.accountId}/pass`,
      '/journal',
      '/checkpoints',
      '/events',
      '/bottlings',
      `/bottlings/${runId}`,
      '/b/B26-1',
      `/checkpoints/${checkpoint.id}`,
      '/bench',
      '/lists',
      '/your-sign-in',
      '/people',
      '/nowhere',
    ];
    browser = await launch();
  });
  afterAll(async () => {
    await browser?.close();
    await server?.stop();
  });

  // Side by side: each waits for the server and the page most of the time.
  test.concurrent.each([
    ['a small phone, light', SMALL_PHONE, 'light'],
    ['a desk, dark', DESK, 'dark'],
  ] as const)(
    'on %s',
    async (_, viewport, colorScheme) => {
      const context = await browser.newContext({ viewport, colorScheme });
      const { page, faults } = await signedInPage(
        context,
        server,
        'read',
        'warehouse',
        'blend',
        'keep',
        'administer',
      );
      // Script sources are the page's own by policy; the checker is handed in by the browser, not by the page.
      const found: string[] = [];
      for (const path of paths) {
        await page.goto(server.base + path);
        await page.getByRole('heading', { level: 1 }).first().waitFor();
        await page
          .waitForFunction(() => document.querySelector('.loading') === null, undefined, {
            timeout: 30_000,
          })
          .catch(() => found.push(`${path}: still loading`));
        const wider = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        if (wider > 0) found.push(`${path}: ${String(wider)} px wider than the screen`);
        found.push(...(await violations(page)).map((v) => `${path}: ${v}`));
      }
      expect([...found, ...faults]).toEqual([]);
      await context.close();
    },
    300_000,
  );
});

/** One plan kept, one with its casks reserved and the first of them scanned out. */
async function keepTwoPlans(client: Client, estate: SmallEstate): Promise<string[]> {
  const plans = [newId(), newId()];
  const happenedAt = '2026-03-01T09:00:00.000Z';
  await doActs(client, [
    ...plans.map((id, i) =>
      act(
        'plan.save',
        {
          id,
          code: `SCREEN-${String(i)}`,
          name: 'Harbour light',
          blendOn: '2030-01-01',
          targetLitresAt20C: 250,
          targetStrengthPercentVol: 46,
          request: {},
          answer: {},
          parts: estate.fillingIds.slice(2 * i, 2 * i + 2).map((fillingId) => ({
            fillingId,
            bulkLitresAt20C: 190,
            strengthPercentVol: 61,
            whole: true,
          })),
          waterLitresAt20C: 60,
        },
        { happenedAt },
      ),
    ),
    act('plan.reserve', { planId: plans[1] ?? '', vatId: estate.vatId }, { happenedAt }),
    act(
      'plan.scan-out',
      { planId: plans[1] ?? '', caskId: estate.caskIds[2] ?? '', out: true },
      { happenedAt },
    ),
  ]);
  return plans;
}

async function violations(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    const axe = (
      globalThis as unknown as {
        axe: {
          run: () => Promise<{ violations: { id: string; nodes: { target: unknown[] }[] }[] }>;
        };
      }
    ).axe;
    return (await axe.run()).violations.map(
      (v) =>
        `${v.id} at ${v.nodes
          .slice(0, 3)
          .map((n) => String(n.target))
          .join(' | ')}`,
    );
  });
}

/** A running stock-take of a sample, something unknown found in it, and a move that came too late to be booked. */
async function countWithFindings(keeper: Client, estate: SmallEstate): Promise<string> {
  const id = newId();
  const [positionId = ''] = estate.positionIds;
  await doActs(keeper, [
    act('stocktake.open', {
      id,
      code: 'ST-1',
      title: 'Spring',
      blind: false,
      scope: {
        storeId: estate.storeId,
        zoneIds: [],
        rows: [],
        sample: { casks: 3, seed: 'harbour' },
      },
    }),
    act('stocktake.count', {
      stocktakeId: id,
      scanned: 'UNKNOWN-1',
      caskId: null,
      positionId,
      damagedLabel: true,
    }),
  ]);
  const move = { caskId: estate.caskIds[0] ?? '', positionId: estate.positionIds[1] ?? '' };
  await keeper.call(api.journal.submit, { body: act('cask.move', move, { offline: true }) });
  return id;
}
