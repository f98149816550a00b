import { mkdir, mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { api } from '@rundlet/contracts';
import { PDFDocument } from '@cantoo/pdf-lib';
import jsQR from 'jsqr';
import { PNG } from 'pngjs';
import { unzipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { databases } from '../support/database.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  sampleCode,
  type SmallEstate,
} from '../support/small-estate.ts';

const { labels } = api;
/** ISO 32000-1 8.3.2.3: a default user space unit is 1/72 inch. */
const points = (mm: number): number => (mm * 72) / 25.4;

/** Its types describe the CommonJS module, of which an import gives the function itself. */
const readQr = jsQR as unknown as typeof jsQR.default;

const TOO_SMALL = {
  format: 'rundlet-label/1',
  name: 'Too small',
  subject: 'cask',
  widthMm: 20,
  heightMm: 20,
  items: [{ kind: 'qr', xMm: 2, yMm: 2, sizeMm: 14, text: '{caskUrl}', level: 'Q' }],
};

describe.each(databases)('labels on %s', (kind) => {
  let server: TestServer;
  let estate: SmallEstate;
  let sampleId: string;
  beforeAll(async () => {
    const folder = await mkdtemp(join(tmpdir(), 'rundlet-labels-'));
    await mkdir(join(folder, 'label-templates'));
    await writeFile(join(folder, 'label-templates/too-small.json'), JSON.stringify(TOO_SMALL));
    await writeFile(join(folder, 'label-templates/broken.json'), '{ "format": "rundlet-label/1" }');
    server = await startServer(kind, {
      environment: { RUNDLET_DATA: folder, RUNDLET_LOG: 'silent' },
    });
    const keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper, { casks: 12 });
    sampleId = newId();
    await doActs(keeper, [
      act('cask.sample', {
        caskId: estate.caskIds[0] ?? '',
        sampleId,
        code: sampleCode(1),
        bulkLitresAt20C: 0.05,
        purpose: 'Quarterly nosing',
      }),
    ]);
  });
  afterAll(() => server.stop());

  const render = async (
    body: Record<string, unknown>,
  ): Promise<{ type: string; name: string; bytes: Uint8Array }> => {
    const hand = await server.as('warehouse');
    const { bytes, contentType, fileName } = await hand.file(labels.render, {
      body: body as never,
    });
    return { type: contentType, name: fileName ?? '', bytes: new Uint8Array(bytes) };
  };
  const decode = (bytes: Uint8Array): string | undefined => {
    const png = PNG.sync.read(Buffer.from(bytes));
    return readQr(new Uint8ClampedArray(png.data), png.width, png.height)?.data;
  };
  const cardUrl = async (caskId: string): Promise<string> =>
    (await (await server.as('read')).call(api.casks.card, { params: { id: caskId } })).url;

  test('every shipped template is listed with its size', async () => {
    const { rows } = await (await server.as('read')).call(labels.templates);
    expect(rows.map((t) => t.id)).toEqual(
      expect.arrayContaining([
        'cask-roll-100x50',
        'cask-sheet-a4-2x4',
        'position-roll-100x50',
        'sample-bottle-57x32',
      ]),
    );
    expect(rows.find((t) => t.id === 'cask-sheet-a4-2x4')).toMatchObject({
      medium: 'sheet',
      perSheet: 8,
      subject: 'cask',
      widthMm: 99.1,
      heightMm: 67.7,
    });
    expect(rows.find((t) => t.id === 'cask-roll-100x50')).toMatchObject({
      medium: 'roll',
      perSheet: 1,
      widthMm: 100,
      heightMm: 50,
    });
  });

  test('a roll PDF has a page of the label’s size for each cask', async () => {
    const { type, bytes } = await render({
      templateId: 'cask-roll-100x50',
      subjectIds: estate.caskIds.slice(0, 3),
      format: 'pdf',
    });
    expect(type).toBe('application/pdf');
    expect(Buffer.from(bytes.slice(0, 5)).toString()).toBe('%PDF-');
    const pages = (await PDFDocument.load(bytes)).getPages();
    expect(pages).toHaveLength(3);
    for (const page of pages) {
      expect(page.getWidth()).toBeCloseTo(points(100), 2);
      expect(page.getHeight()).toBeCloseTo(points(50), 2);
    }
  });

  test('a sheet PDF is A4 and starts at the free place', async () => {
    const order = {
      templateId: 'cask-sheet-a4-2x4',
      subjectIds: estate.caskIds.slice(0, 8),
      format: 'pdf',
    };
    const whole = (await PDFDocument.load((await render(order)).bytes)).getPages();
    expect(whole).toHaveLength(1);
    expect(whole[0]?.getWidth()).toBeCloseTo(points(210), 2);
    expect(whole[0]?.getHeight()).toBeCloseTo(points(297), 2);
    const late = await PDFDocument.load((await render({ ...order, startPosition: 8 })).bytes);
    expect(late.getPages()).toHaveLength(2);
    const hand = await server.as('warehouse');
    const problem = await problemOf(
      hand.file(labels.render, { body: { ...order, startPosition: 9 } as never }),
    );
    expect(problem).toMatchObject({
      status: 422,
      detail: expect.stringContaining('1 to 8') as string,
    });
  });

  test('the PNG’s QR code is the address of the cask’s card, at the resolution asked', async () => {
    const [caskId = ''] = estate.caskIds;
    for (const dpi of [203, 300]) {
      const { type, bytes } = await render({
        templateId: 'cask-roll-100x50',
        subjectIds: [caskId],
        format: 'png',
        dpi,
      });
      expect(type).toBe('image/png');
      const { width, height } = PNG.sync.read(Buffer.from(bytes));
      // 203 dpi heads have 8 dots a millimetre.
      expect(width).toBe(Math.round(dpi === 203 ? 800 : (100 * 300) / 25.4));
      expect(height).toBe(Math.round(dpi === 203 ? 400 : (50 * 300) / 25.4));
      expect(decode(bytes)).toBe(await cardUrl(caskId));
    }
  });

  test('several pictures come as a ZIP, each with its own cask’s code', async () => {
    const some = estate.caskIds.slice(0, 3);
    const { type, bytes } = await render({
      templateId: 'cask-roll-100x50',
      subjectIds: some,
      format: 'png',
      dpi: 203,
    });
    expect(type).toBe('application/zip');
    const files = Object.entries(unzipSync(bytes)).sort(([a], [b]) => (a < b ? -1 : 1));
    expect(files.map(([, png]) => decode(png))).toEqual(await Promise.all(some.map(cardUrl)));
  });

  test('SVG and printer language', async () => {
    const svg = await render({
      templateId: 'cask-roll-100x50',
      subjectIds: [estate.caskIds[1]],
      format: 'svg',
    });
    expect(svg.type).toBe('image/svg+xml');
    expect(Buffer.from(svg.bytes).toString()).toMatch(/^<svg[^>]+width="100mm" height="50mm"/);
    const zpl = await render({
      templateId: 'cask-roll-100x50',
      subjectIds: estate.caskIds.slice(0, 2),
      format: 'zpl',
      dpi: 203,
    });
    const text = Buffer.from(zpl.bytes).toString();
    expect(text.match(/\^XA/g)).toHaveLength(2);
    expect(text).toContain('^PW800');
  });

  test('positions and samples have labels that lead to them', async () => {
    const position = await render({
      templateId: 'position-roll-100x50',
      subjectIds: [estate.positionIds[0]],
      format: 'png',
    });
    const reader = await server.as('read');
    const { rows } = await reader.call(api.places.positions, {
      query: { zoneId: estate.zoneId, limit: 500 },
    });
    const code = rows.find((p) => p.id === estate.positionIds[0])?.code ?? '';
    expect(decode(position.bytes)).toBe(`HTTP://CASKS.HARROWPOINT.EXAMPLE/P/${code}`);
    const sample = await render({
      templateId: 'sample-bottle-57x32',
      subjectIds: [sampleId],
      format: 'png',
      dpi: 600,
    });
    expect(decode(sample.bytes)).toBe(`HTTP://CASKS.HARROWPOINT.EXAMPLE/S/${sampleCode(1)}`);
  });

  test('the check before printing says what is wrong with a template, and nothing about a sound one', async () => {
    const reader = await server.as('read');
    const check = (templateId: string, dpi: 203 | 600) =>
      reader.call(labels.check, {
        body: { templateId, subjectIds: estate.caskIds.slice(0, 2), format: 'zpl', dpi },
      });
    const sound = await check('cask-roll-100x150', 600);
    expect(sound.warnings).toEqual([]);
    expect(sound.readingDistanceM).toBeGreaterThan(0.2);
    // DENSO WAVE, qrcode.com/en/howto/cell.html: a module of four dots or more.
    const small = await check('too-small', 203);
    expect(small.warnings.join(' ')).toMatch(/a module is [123] dots at 203 dpi/);
    expect(small.readingDistanceM).toBeLessThan(0.2);
  });

  test('a site’s own template is used; one that breaks the format is left out and does no harm', async () => {
    const { rows } = await (await server.as('read')).call(labels.templates);
    expect(rows.find((t) => t.id === 'too-small')).toMatchObject({
      name: 'Too small',
      subject: 'cask',
    });
    expect(rows.map((t) => t.id)).not.toContain('broken');
  });

  test('an unknown template, an unknown cask, a position’s template for a cask', async () => {
    const hand = await server.as('warehouse');
    const refused = (body: Record<string, unknown>) =>
      problemOf(hand.file(labels.render, { body: { format: 'pdf', ...body } as never }));
    expect(await refused({ templateId: 'no-such', subjectIds: [estate.caskIds[0]] })).toMatchObject(
      { status: 404, detail: expect.stringContaining('cask-roll-100x50') as string },
    );
    expect((await refused({ templateId: 'cask-roll-100x50', subjectIds: [newId()] })).status).toBe(
      404,
    );
    expect(
      (await refused({ templateId: 'position-roll-100x50', subjectIds: [estate.caskIds[0]] }))
        .status,
    ).toBe(404);
    const reader = await server.as('read');
    expect(
      (
        await problemOf(
          reader.file(labels.render, {
            body: {
              templateId: 'cask-roll-100x50',
              subjectIds: estate.caskIds.slice(0, 1),
              format: 'pdf',
            },
          }),
        )
      ).status,
    ).toBe(403);
  });

  test('a thousand labels are drawn without stopping anybody', async () => {
    const ids = Array.from({ length: 1000 }, (_, i) => estate.caskIds[i % 12] ?? '');
    let slowest = 0;
    let done = false;
    const began = performance.now();
    const cpu = process.cpuUsage();
    const rendering = render({
      templateId: 'cask-sheet-a4-2x4',
      subjectIds: ids,
      format: 'pdf',
    }).finally(() => (done = true));
    while (!done) {
      const asked = performance.now();
      await fetch(`${server.base}/ready`);
      slowest = Math.max(slowest, performance.now() - asked);
      await new Promise((go) => setTimeout(go, 20));
    }
    const { bytes } = await rendering;
    const seconds = (performance.now() - began) / 1000;
    console.info(
      `1,000 labels as PDF: ${seconds.toFixed(1)} s (${((process.cpuUsage(cpu).user + process.cpuUsage(cpu).system) / 1e6).toFixed(1)} s of processor), ${(bytes.length / 1e6).toFixed(1)} MB; slowest other answer ${slowest.toFixed(0)} ms`,
    );
    expect((await PDFDocument.load(bytes)).getPageCount()).toBe(125);
    expect(slowest).toBeLessThan(1500);
  });
});
