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
    server = await startServer(kind);
    const keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper, { casks: 12 });
    sampleId = newId();
    await doActs(keeper, [
      act('label-template.save', { id: 'too-small', template: TOO_SMALL }),
      act('label-template.save', { id: 'broken', template: { format: 'rundlet-label/1' } }),
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

  test('a vat’s label leads to the vat, and its print is in the journal', async () => {
    const { bytes } = await render({
      templateId: 'vat-roll-100x50',
      subjectIds: [estate.vatId],
      format: 'png',
    });
    const reader = await server.as('read');
    const { vat } = await reader.call(api.places.vat, { params: { id: estate.vatId } });
    const url = decode(bytes) ?? '';
    expect(url).toBe(`HTTP://CASKS.HARROWPOINT.EXAMPLE/V/${vat.code}`);
    const scan = await reader.call(api.casks.scan, { query: { text: url } });
    expect(scan.matches).toMatchObject([{ kind: 'vat', id: estate.vatId }]);
    await doActs(await server.as('warehouse'), [
      act('label.print', {
        subjects: [{ kind: 'vat', id: estate.vatId }],
        templateId: 'vat-roll-100x50',
        reason: null,
        copies: 1,
      }),
    ]);
    const printed = await reader.call(labels.printed, { body: { subjectIds: [estate.vatId] } });
    expect(printed.rows).toMatchObject([{ subjectId: estate.vatId, times: 1 }]);
  });

  test('a bottle’s label leads to the run’s page, by a GS1 Digital Link where it has a GTIN', async () => {
    const keeper = await server.as('keep');
    const [withGtin, plain] = [newId(), newId()];
    const bottling = (id: string, code: string, gtin: string | null) =>
      act('bottling.record', {
        id,
        code,
        name: 'Tern Russet',
        vatId: estate.vatId,
        blendId: null,
        bulkLitresAt20C: 10,
        bottles: 14,
        bottleMl: 700,
        labelStrengthPercentVol: 63.5,
        gtin,
      });
    // GS1 General Specifications: the last digit of a GTIN is its check digit.
    await doActs(keeper, [
      bottling(withGtin, 'B26-1', '09521321000018'),
      bottling(plain, 'B26-2', null),
    ]);
    const addressOn = async (id: string) =>
      decode(
        (await render({ templateId: 'bottling-run-76x51', subjectIds: [id], format: 'png' })).bytes,
      );
    // GS1 Digital Link URI syntax: key and qualifier in the path, the batch after AI 10.
    expect(await addressOn(withGtin)).toBe(
      'HTTP://CASKS.HARROWPOINT.EXAMPLE/01/09521321000018/10/B26-1',
    );
    expect(await addressOn(plain)).toBe('HTTP://CASKS.HARROWPOINT.EXAMPLE/B/B26-2');
    await doActs(await server.as('warehouse'), [
      act('label.print', {
        subjects: [{ kind: 'bottling-run', id: plain }],
        templateId: 'bottling-run-76x51',
        reason: null,
        copies: 14,
      }),
    ]);
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

  test('a site’s own template is used; one that breaks the format is left out, and why is said', async () => {
    const reader = await server.as('read');
    const { rows, faulty } = await reader.call(labels.templates);
    expect(rows.find((t) => t.id === 'too-small')).toMatchObject({
      name: 'Too small',
      subject: 'cask',
      own: true,
      spare: true,
    });
    expect(rows.map((t) => t.id)).not.toContain('broken');
    expect(faulty).toMatchObject([
      { id: 'broken', problem: expect.stringContaining('/items') as string },
    ]);
    const { text, own } = await reader.call(labels.template, { params: { id: 'too-small' } });
    expect([JSON.parse(text), own]).toEqual([TOO_SMALL, true]);
  });

  test('one named like a shipped one takes its place until it is taken out of use', async () => {
    const keeper = await server.as('keep');
    const nameOf = async () =>
      (await keeper.call(labels.templates)).rows.find((t) => t.id === 'cask-head-disc-60')?.name;
    const shipped = await nameOf();
    const save = (template: Record<string, unknown> | null) =>
      doActs(keeper, [act('label-template.save', { id: 'cask-head-disc-60', template })]);
    await save({ ...TOO_SMALL, name: 'Our disc' });
    expect(await nameOf()).toBe('Our disc');
    await save(null);
    expect(await nameOf()).toBe(shipped);
    await expect(save(null)).rejects.toThrow('nothing-to-do');
  });

  test('a template being written is drawn with the values asked for, and its problems are named at their lines', async () => {
    const reader = await server.as('read');
    const text = JSON.stringify(TOO_SMALL, null, 2);
    const attempt = (body: object) =>
      reader.call(labels.try, {
        body: { text, fields: 'examples', subjectId: null, dpi: 203, ...body },
      });
    const drawn = await attempt({});
    expect(drawn.svg).toMatch(/^<svg[^>]+width="20mm"/);
    const line = text.split('\n').findIndex((l) => l.trim() === '{' && l !== '{') + 1;
    expect(drawn.problems).toMatchObject([
      { tone: 'caution', path: '/items/0', line },
      { tone: 'caution', line: null },
    ]);
    const own = await attempt({ fields: 'record', subjectId: estate.caskIds[0] });
    expect(own.codes[0]?.text).toBe(await cardUrl(estate.caskIds[0] ?? ''));
    // The quiet zone is four modules (ISO/IEC 18004).
    expect(own.codes[0]?.quietZoneMm).toBeCloseTo(4 * (own.codes[0]?.moduleMm ?? NaN), 9);
    const wrong = await attempt({ text: text.replace('caskUrl', 'caskUrk') });
    expect(wrong.svg).toBeNull();
    const at = text.split('\n').findIndex((l) => l.includes('caskUrl')) + 1;
    expect(wrong.problems).toMatchObject([{ tone: 'fault', path: '/items/0/text', line: at }]);
    expect((await attempt({ text: '{' })).problems[0]?.message).toContain('not JSON');
  });

  test('a printer’s offsets move what it prints, on a test sheet and on labels', async () => {
    const keeper = await server.as('keep');
    const printer = (id: string, rightMm: number) =>
      act('printer.save', {
        id,
        name: `Store printer ${String(rightMm)}`,
        medium: 'roll',
        stock: null,
        dpi: 203,
        printableWidthMm: 80,
        rightMm,
        downMm: 0,
        pitchAcrossMm: 0,
        pitchDownMm: 0,
        inUse: true,
      });
    const [plain, moved] = [newId(), newId()];
    await doActs(keeper, [printer(plain, 0), printer(moved, 2)]);
    expect((await keeper.call(labels.printers)).rows.map((p) => p.id)).toEqual([plain, moved]);
    const firstInk = async (printerId: string): Promise<number> => {
      const { bytes } = await render({
        templateId: 'cask-roll-100x50',
        subjectIds: estate.caskIds.slice(0, 1),
        format: 'png',
        dpi: 600,
        printerId,
      });
      const { data, width, height } = PNG.sync.read(Buffer.from(bytes));
      expect(width).toBe(800); // the printer's own resolution, 8 dots a millimetre
      let first = width;
      for (let y = 0; y < height; y++)
        for (let x = 0; x < first; x++) if ((data[(y * width + x) * 4] ?? 255) < 128) first = x;
      return first;
    };
    expect((await firstInk(moved)) - (await firstInk(plain))).toBe(16);
    const test = await keeper.file(labels.testSheet, {
      params: { id: 'cask-roll-100x50' },
      query: { printerId: moved, format: 'zpl' },
    });
    expect(Buffer.from(test.bytes).toString()).toMatch(/\^PW800\n\^LL400/);
    const sheet = await keeper.file(labels.testSheet, { params: { id: 'cask-sheet-a4-2x4' } });
    expect((await PDFDocument.load(sheet.bytes)).getPageCount()).toBe(1);
    const { warnings } = await keeper.call(labels.check, {
      body: {
        templateId: 'cask-roll-100x50',
        subjectIds: estate.caskIds.slice(0, 1),
        format: 'zpl',
        printerId: plain,
      },
    });
    expect(warnings.join()).toContain('the printer prints 80 mm');
    await doActs(keeper, [
      act('printer.save', { ...(printer(moved, 2).body as object), inUse: false } as never),
    ]);
    expect((await keeper.call(labels.printers)).rows.map((p) => p.id)).toEqual([plain]);
  });

  test('a run of many is a job with progress, and its file is kept', async () => {
    const hand = await server.as('warehouse');
    const { jobId } = await hand.call(labels.run, {
      body: {
        templateId: 'cask-roll-100x50',
        subjectIds: Array.from({ length: 60 }, (_, i) => estate.caskIds[i % 12] ?? ''),
        format: 'zpl',
        dpi: 203,
      },
    });
    let job = await hand.call(api.jobs.get, { params: { id: jobId } });
    while (job.status === 'waiting' || job.status === 'running') {
      await new Promise((go) => setTimeout(go, 50));
      job = await hand.call(api.jobs.get, { params: { id: jobId } });
    }
    expect(job).toMatchObject({ status: 'done', progress: 1, detail: { of: 60 } });
    const { bytes, fileName } = await hand.file(labels.runFile, { params: { id: jobId } });
    expect(fileName).toBe('cask-roll-100x50.zpl');
    expect(Buffer.from(bytes).toString().match(/\^XA/g)).toHaveLength(60);
    expect((await problemOf(hand.file(labels.runFile, { params: { id: newId() } }))).status).toBe(
      404,
    );
  });

  test('spare labels take their codes, are printed without a cask, and are tied to one', async () => {
    const hand = await server.as('keep');
    const { caskCodes } = await hand.call(api.casks.nextCodes, { query: { count: 3 } });
    const [first = '', second = '', third = ''] = caskCodes;
    await doActs(hand, [
      act('spare-label.print', { codes: caskCodes, templateId: 'cask-head-disc-60' }),
    ]);
    const later = await hand.call(api.casks.nextCodes, { query: { count: 1 } });
    expect(caskCodes).not.toContain(later.caskCodes[0]);
    await expect(
      doActs(hand, [act('spare-label.print', { codes: [third], templateId: 'x' })]),
    ).rejects.toThrow('code-taken');

    const { bytes } = await render({
      templateId: 'cask-head-disc-60',
      spareCodes: [first],
      format: 'png',
    });
    const url = decode(bytes) ?? '';
    expect(url).toBe(`HTTP://CASKS.HARROWPOINT.EXAMPLE/C/${first}`);
    const scan = (text: string) => hand.call(api.casks.scan, { query: { text } });
    expect(await scan(url)).toMatchObject({ status: 'spare-label', spareCode: first });

    // At filling: on a cask that is in the books, and on one that comes into them with it.
    const caskId = estate.caskIds[3] ?? '';
    await doActs(hand, [act('cask.alias', { caskId, alias: first })]);
    for (const text of [url, first, first.toLowerCase(), `]C0${first}\r`])
      expect(await scan(text)).toMatchObject({ status: 'found', matches: [{ id: caskId }] });
    await expect(
      doActs(hand, [act('cask.alias', { caskId: estate.caskIds[4] ?? '', alias: first })]),
    ).rejects.toThrow('alias-taken');
    const spares = await hand.call(labels.spares);
    expect([spares.open, spares.rows.map((s) => s.code).sort()]).toEqual([2, [second, third]]);
  });

  test('where the estate has a company prefix, a spare label’s QR bears the GS1 key', async () => {
    const prefixed = await startServer('memory', {
      environment: { RUNDLET_COMPANY_PREFIX: '9521321' },
    });
    const hand = await prefixed.as('keep');
    const other = await layDownSmallEstate(hand, { casks: 2 });
    const { caskCodes } = await hand.call(api.casks.nextCodes, { query: { count: 1 } });
    const [code = ''] = caskCodes;
    await doActs(hand, [
      act('spare-label.print', { codes: [code], templateId: 'cask-head-disc-60' }),
    ]);
    const { bytes } = await hand.file(labels.render, {
      body: { templateId: 'cask-head-disc-60', spareCodes: [code], format: 'png' },
    });
    const url = decode(new Uint8Array(bytes)) ?? '';
    // GS1 Digital Link: the address, the application identifier 8004, the GIAI.
    expect(url).toMatch(new RegExp(`^HTTPS?://[^/]+/8004/9521321${code}$`));
    const scan = () => hand.call(api.casks.scan, { query: { text: url } });
    expect(await scan()).toMatchObject({ status: 'spare-label', spareCode: code });
    const [caskId = ''] = other.caskIds;
    await doActs(hand, [act('cask.alias', { caskId, alias: code })]);
    expect(await scan()).toMatchObject({ status: 'found', matches: [{ id: caskId }] });
    await prefixed.stop();
  });

  test('which had labels before is told, and a reprint says which printing it is', async () => {
    const hand = await server.as('warehouse');
    const [, , , , , one = '', two = ''] = estate.caskIds;
    const print = (reason: string | null) =>
      doActs(hand, [
        act('label.print', {
          subjects: [{ kind: 'cask', id: one }],
          templateId: 'cask-roll-100x50',
          reason,
          copies: 1,
        }),
      ]);
    await print(null);
    await expect(print(null)).rejects.toThrow('reason-needed');
    await print('scuffed on the rack');
    const { rows } = await hand.call(labels.printed, { body: { subjectIds: [one, two] } });
    expect(rows).toMatchObject([{ subjectId: one, times: 2 }]);
  });

  test('a reprint without a reason that comes from an outbox is held, and booked with the keeper’s', async () => {
    const [, , , , , one = ''] = estate.caskIds;
    const keeper = await server.as('keep');
    const late = act(
      'label.print',
      {
        subjects: [{ kind: 'cask', id: one }],
        templateId: 'cask-roll-100x50',
        reason: null,
        copies: 1,
      },
      { offline: true },
    );
    const { results } = await keeper.call(api.journal.submitMany, { body: { acts: [late] } });
    expect(results[0]?.status).toBe('held');
    const { rows } = await keeper.call(api.journal.held, { query: { status: 'open' } });
    const held = rows.find((row) => row.held.act['id'] === late.id);
    const reason = 'scuffed, printed in the aisle';
    await doActs(keeper, [
      act('held.settle', { heldActId: held?.held.id ?? '', verdict: 'try-again', reason }),
    ]);
    const again = await keeper.call(labels.printed, { body: { subjectIds: [one] } });
    expect(again.rows).toMatchObject([{ subjectId: one, times: 3 }]);
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
