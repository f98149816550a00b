import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { like } from '../support/matchers.ts';
import { databases } from '../support/database.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  type SmallEstate,
} from '../support/small-estate.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';

describe.each(databases)('lineage on %s', (kind) => {
  let server: TestServer;
  let keeper: Client;
  let one: SmallEstate;
  let two: SmallEstate;
  const declared = (bulkLitresAt20C: number, strengthPercentVol: number) =>
    ({ method: 'declared', bulkLitresAt20C, strengthPercentVol }) as const;
  const refusalOf = (sent: ReturnType<typeof act>) =>
    problemOf(keeper.call(api.journal.submit, { body: sent }));
  beforeAll(async () => {
    server = await startServer(kind);
    keeper = await server.as('keep');
    one = await layDownSmallEstate(keeper);
    two = await layDownSmallEstate(keeper, { serial: 1 });
    // What is left in the second vat is vatted with a cask of the first estate's spirit, under one account.
    await doActs(keeper, [
      act('cask.change-owner', { caskId: one.caskIds[0] ?? '', accountId: two.accountId }),
      act('cask.disgorge', {
        caskId: one.caskIds[0] ?? '',
        vatId: two.vatId,
        readings: declared(200, 63.5),
        bulkLitresAt20C: null,
        planId: null,
      }),
    ]);
  });
  afterAll(() => server.stop());

  test('a vat is traced back through every step to its plots, by shares that sum to 1', async () => {
    const graph = await keeper.call(api.lineage.trace, { params: { kind: 'vat', id: two.vatId } });
    for (const step of ['spirit-lot', 'still-run', 'ferment', 'harvest-lot', 'plot']) {
      const nodes = graph.nodes.filter((n) => n.kind === step);
      expect(nodes).toHaveLength(2);
      expect(nodes.reduce((sum, n) => sum + n.share, 0)).toBeCloseTo(1, 9);
    }
    // 200 L of the first among 2600 L, all of one strength.
    const share = graph.nodes.find((n) => n.key === `plot:${one.plotId}`)?.share;
    expect(share).toBeCloseTo(200 / 2600, 6);
    const filling = await keeper.call(api.lineage.trace, {
      params: { kind: 'filling', id: one.fillingIds[1] ?? '' },
    });
    expect(filling.nodes.find((n) => n.kind === 'plot')).toMatchObject({
      id: one.plotId,
      share: 1,
    });
    expect(
      (await problemOf(keeper.call(api.lineage.trace, { params: { kind: 'blend', id: newId() } })))
        .status,
    ).toBe(404);
  });

  test.each(['plot', 'harvest-lot', 'ferment', 'still-run', 'spirit-lot'] as const)(
    'from a %s every vessel with some of it is found, with litres that add up',
    async (from) => {
      const id = {
        plot: one.plotId,
        'harvest-lot': one.harvestId,
        ferment: one.fermentId,
        'still-run': one.stillRunId,
        'spirit-lot': one.lotId,
      }[from];
      const recall = await keeper.call(api.lineage.recall, { params: { kind: from, id } });
      expect(recall.casks).toBe(2);
      expect(recall.rows.map((r) => r.vesselId).sort()).toEqual(
        [one.caskIds[1], one.caskIds[2], one.vatId, two.vatId].sort(),
      );
      // 3000 L at 63.5 % vol were received, and nothing of it has gone.
      expect(recall.litresPureAlcohol).toBeCloseTo(1905, 2);
      expect(recall.rows.find((r) => r.vesselId === two.vatId)?.share).toBeCloseTo(200 / 2600, 6);
      expect(recall.rows.find((r) => r.vesselId === one.caskIds[1])).toMatchObject({
        share: 1,
        positionCode: like(/^P/),
        fillingId: one.fillingIds[1],
      });
    },
  );

  test('a recall of nothing known is refused, of something unused it is empty', async () => {
    expect(
      (await problemOf(keeper.call(api.lineage.recall, { params: { kind: 'plot', id: newId() } })))
        .status,
    ).toBe(404);
    const plotId = newId();
    await doActs(keeper, [
      act('plot.record', {
        id: plotId,
        code: 'FALLOW',
        name: 'Fallow',
        areaHa: 1,
        soil: null,
        crop: 'none',
        variety: 'none',
        plantedYear: null,
      }),
    ]);
    expect(await keeper.call(api.lineage.recall, { params: { kind: 'plot', id: plotId } })).toEqual(
      { rows: [], bottlings: [], delivered: [], litresPureAlcohol: 0, casks: 0 },
    );
  });

  test('from a cask’s filling its liquid is found in the vat it was drawn into, by its own part', async () => {
    const id = one.fillingIds[0] ?? '';
    const recall = await keeper.call(api.lineage.recall, { params: { kind: 'filling', id } });
    expect(recall).toMatchObject({ casks: 0, bottlings: [], delivered: [] });
    expect(recall.rows).toMatchObject([{ vesselKind: 'vat', vesselId: two.vatId }]);
    expect(recall.rows[0]?.share).toBeCloseTo(200 / 2600, 5);
    // All of the filling is in the vat: 200 L at 63.5 % vol.
    expect(recall.litresPureAlcohol).toBeCloseTo(127, 2);
    const still = await keeper.call(api.lineage.recall, {
      params: { kind: 'filling', id: one.fillingIds[1] ?? '' },
    });
    expect(still.rows).toMatchObject([{ vesselKind: 'cask', share: 1 }]);
  });

  test('a plot is followed forth to the casks and the vat that have some of it', async () => {
    const graph = await keeper.call(api.lineage.trace, {
      params: { kind: 'plot', id: one.plotId },
      query: { direction: 'forth' },
    });
    expect(graph.nodes.find((n) => n.key === `vat:${two.vatId}`)?.share).toBeCloseTo(200 / 2600, 6);
    expect(
      graph.nodes
        .filter((n) => n.kind === 'filling')
        .map((n) => n.id)
        .sort(),
    ).toEqual([one.fillingIds[1], one.fillingIds[2]].sort());
  });

  test('what is used up is refused at its field; a step that others were made of is not taken back', async () => {
    const inputs = [{ harvestLotId: one.harvestId, massKg: 1000 }];
    const ferment = await refusalOf(
      act('ferment.record', {
        id: newId(),
        code: 'AGAIN',
        vessel: 'Tun 2',
        yeast: 'house',
        startedOn: '2019-10-03',
        endedOn: '2019-10-20',
        inputs,
        bulkLitresAt20C: 500,
        strengthPercentVol: 5,
      }),
    );
    expect(ferment).toMatchObject({
      errors: [{ pointer: like(/inputs\/0\/massKg$/), detail: like(/went into other ferments/) }],
    });
    for (const [kind, subject] of [
      ['plot.record', `plot:${one.plotId}`],
      ['harvest.record', `harvest-lot:${one.harvestId}`],
      ['ferment.record', `ferment:${one.fermentId}`],
      ['still-run.record', `still-run:${one.stillRunId}`],
    ] as const) {
      const { rows } = await keeper.call(api.journal.list, { query: { kind, subject } });
      const [entry] = rows;
      expect(
        await refusalOf(act('entry.reverse', { entryId: entry?.id ?? '', reason: 'slip' })),
      ).toMatchObject({ detail: like(/was made of it/) });
    }
  });

  test('each step is listed, newest first, page by page', async () => {
    const lists = [
      api.lineage.harvests,
      api.lineage.ferments,
      api.lineage.stillRuns,
      api.lineage.lots,
    ] as const;
    for (const list of lists) {
      const first = await keeper.call(list, { query: { limit: 1 } });
      const second = await keeper.call(list, { query: { limit: 1, after: first.next ?? '' } });
      expect(second.next).toBeNull();
      expect([first.rows[0]?.code, second.rows[0]?.code].map((c) => c?.slice(-3))).toEqual([
        '001',
        '000',
      ]);
    }
    const ofPlot = await keeper.call(api.lineage.harvests, { query: { plotId: one.plotId } });
    expect(ofPlot.rows.map((r) => r.id)).toEqual([one.harvestId]);
    expect((await keeper.call(api.lineage.plots)).rows.map((p) => p.code)).toContain('PLOT000');
  });

  test('a step tells what it came from and became, with litres of pure alcohol and its yields', async () => {
    const ferment = await keeper.call(api.lineage.step, {
      params: { kind: 'ferment', id: one.fermentId },
    });
    expect(ferment.from).toMatchObject([{ kind: 'harvest-lot', id: one.harvestId, unit: 'kg' }]);
    expect(ferment.became).toMatchObject([{ kind: 'still-run', id: one.stillRunId, unit: 'L' }]);
    const run = await keeper.call(api.lineage.step, {
      params: { kind: 'still-run', id: one.stillRunId },
    });
    expect(run.became).toMatchObject([{ kind: 'spirit-lot', id: one.lotId, amount: 1 }]);
    expect(run.became[0]?.litresPureAlcohol).toBeCloseTo(run.yields[1]?.value ?? 0, 9);
    for (const { value, most } of [...ferment.yields, ...run.yields])
      expect(value).toBeLessThanOrEqual(most * 1.01);
  });

  test('any step is found to choose from by part of its code, however old', async () => {
    const find = (text: string, limit = 1) =>
      keeper.call(api.lineage.stepChoices, {
        params: { kind: 'ferment' },
        query: { find: text, limit },
      });
    expect(await find('')).toMatchObject({ rows: [{ id: two.fermentId }], more: true });
    const { record } = (
      await keeper.call(api.lineage.step, { params: { kind: 'ferment', id: one.fermentId } })
    ).step;
    expect(await find(record.code.slice(1).toLowerCase())).toMatchObject({
      rows: [{ id: one.fermentId, code: record.code }],
      more: false,
    });
    expect(await find('%')).toMatchObject({ more: true });
    expect(await find('no such')).toEqual({ rows: [], more: false });
  });

  test('a correction reaches traces and public pages, is refused where it can’t be, and taken back', async () => {
    const runId = newId();
    await doActs(keeper, [
      act('bottling.record', {
        id: runId,
        code: 'B-LIN',
        name: 'Corrected',
        vatId: two.vatId,
        blendId: null,
        bulkLitresAt20C: 10,
        bottles: 14,
        bottleMl: 700,
        labelStrengthPercentVol: 63.5,
        gtin: null,
      }),
    ]);
    await keeper.call(api.bottlings.publish, {
      params: { id: runId },
      body: { facts: ['varieties', 'years'] },
    });
    const told = () => keeper.call(api.bottlings.told, { params: { code: 'B-LIN' } });
    expect((await told()).correctedSince).toEqual([]);
    const correct = (to: object) =>
      act('step.correct', { kind: 'plot', id: one.plotId, to, reason: 'grafted anew' });
    await doActs(keeper, [correct({ variety: 'Winnal’s Longdon' })]);
    expect((await told()).correctedSince).toEqual(['varieties']);
    expect((await keeper.call(api.bottlings.run, { params: { id: runId } })).story).toMatchObject({
      varieties: [{ name: like(/./) }, { name: like(/Winnal’s Longdon/) }],
    });
    const trace = await keeper.call(api.lineage.trace, {
      params: { kind: 'filling', id: one.fillingIds[1] ?? '' },
    });
    expect(trace.nodes.find((n) => n.kind === 'plot')?.detail).toContain('Winnal’s Longdon');

    const refused = await refusalOf(
      act('step.correct', {
        kind: 'harvest-lot',
        id: one.harvestId,
        to: { massKg: 1 },
        reason: 'slip',
      }),
    );
    expect(refused).toMatchObject({ status: 422, detail: like(/stands in the way/) });
    const { rows } = await keeper.call(api.journal.list, {
      query: { subject: `plot:${one.plotId}`, limit: 1 },
    });
    expect(rows[0]?.words).toMatch(/^Correction of plot PLOT000: variety .* Reason: grafted anew$/);
    await doActs(keeper, [
      act('entry.reverse', { entryId: rows[0]?.id ?? '', reason: 'was right' }),
    ]);
    expect((await told()).correctedSince).toEqual([]);
  });

  test('a lot that was received is not taken back before its receipts, nor those before what took them', async () => {
    const refusal = async (kind: string, subject: string) => {
      const { rows } = await keeper.call(api.journal.list, { query: { kind, subject } });
      return refusalOf(act('entry.reverse', { entryId: rows[0]?.id ?? '', reason: 'slip' }));
    };
    expect(await refusal('spirit-lot.record', `spirit-lot:${one.lotId}`)).toMatchObject({
      detail: like(/receipts first, newest first: entry \d+, spirit receive/),
    });
    expect(await refusal('spirit.receive', `spirit-lot:${one.lotId}`)).toMatchObject({
      detail: like(/has left since. Reverse what took it first, newest first: entry \d+/),
    });
  });
});
