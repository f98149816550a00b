import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import addFormats from 'ajv-formats';
import type { Client } from '@rundlet/client';
import { api } from '@rundlet/contracts';
import { makeCaskCode } from '@rundlet/identifiers';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { EpcisEvent, readDocument } from '@rundlet/epcis';
import { PLAIN_BARREL } from '../support/plain-barrel.ts';
import { problemOf, startServer, type TestServer } from '../support/server.ts';
import {
  act,
  doActs,
  layDownSmallEstate,
  newId,
  sampleCode,
  type SmallEstate,
} from '../support/small-estate.ts';

const SCHEMA = process.env['RUNDLET_EPCIS_SCHEMA'];
const EXAMPLES = process.env['RUNDLET_EPCIS_EXAMPLES'];
if (SCHEMA === undefined)
  console.error(
    'EPCIS EVENTS ARE NOT CHECKED AGAINST THE OFFICIAL SCHEMA: set RUNDLET_EPCIS_SCHEMA to a folder with GS1’s EPCIS-JSON-Schema.json (github.com/gs1/EPCIS).',
  );
if (EXAMPLES === undefined)
  console.error(
    'THE STANDARD’S OWN EXAMPLES ARE NOT READ: set RUNDLET_EPCIS_EXAMPLES to a folder with the .jsonld examples of github.com/gs1/EPCIS.',
  );

/** Faults of a document by the JSON Schema that GS1 publishes with EPCIS 2.0. */
function officialFaults(): (document: unknown) => string[] {
  const file = join(SCHEMA ?? '', 'EPCIS-JSON-Schema.json');
  if (!existsSync(file)) throw new Error(`RUNDLET_EPCIS_SCHEMA is set, but there is no ${file}.`);
  const ajv = new Ajv({ strict: false, allErrors: false });
  (addFormats as unknown as (a: Ajv) => void)(ajv);
  const validate = ajv.compile(JSON.parse(readFileSync(file, 'utf8')) as object);
  return (document) => {
    validate(document);
    return (validate.errors ?? []).map((e) => `${e.instancePath} ${e.message ?? ''}`);
  };
}

interface Declaration {
  readonly declarationTime: string;
  readonly reason: string;
  readonly correctiveEventIDs?: readonly string[];
}
/** The estate's own facts of an event. */
const own = (event: Readonly<Record<string, unknown>>): Record<string, unknown> =>
  Object.fromEntries(
    Object.entries((event['ilmd'] ?? {}) as Record<string, unknown>).map(([name, value]) => [
      name.replace(/^rundlet:/, ''),
      value,
    ]),
  );

describe('EPCIS events', () => {
  let server: TestServer;
  let keeper: Client;
  let estate: SmallEstate;
  let blendId: string;
  beforeAll(async () => {
    server = await startServer('file');
    keeper = await server.as('keep');
    estate = await layDownSmallEstate(keeper);
    const [first = '', second = '', third = '', empty = ''] = estate.caskIds;
    const on = (happenedAt: string) => ({ happenedAt });
    const declared = (bulkLitresAt20C: number, strengthPercentVol: number) =>
      ({ method: 'declared', bulkLitresAt20C, strengthPercentVol }) as const;
    const [customer, otherVat, wrong, planId, asset] = Array.from({ length: 5 }, newId) as [
      string,
      string,
      string,
      string,
      string,
    ];
    blendId = newId();
    await doActs(keeper, [
      act('account.register', {
        id: customer,
        code: 'CUST',
        name: 'A customer',
        kind: 'customer',
        remark: null,
      }),
      act('vat.register', {
        id: otherVat,
        code: 'MARRY',
        name: 'Marrying vat',
        storeId: estate.storeId,
        accountId: estate.accountId,
        capacityLitres: 5000,
      }),
      act(
        'cask.gauge',
        { caskId: first, readings: declared(196, 63.2) },
        on('2021-05-04T10:00:00.000Z'),
      ),
      act(
        'cask.sample',
        {
          caskId: first,
          sampleId: newId(),
          code: sampleCode(1),
          bulkLitresAt20C: 0.5,
          purpose: 'nosing',
        },
        on('2021-05-05T10:00:00.000Z'),
      ),
      act(
        'cask.move',
        { caskId: first, positionId: estate.positionIds[4] ?? '' },
        on('2021-05-06T10:00:00.000Z'),
      ),
      {
        ...act(
          'cask.gauge',
          { caskId: second, readings: declared(91, 63.2) },
          on('2021-05-07T10:00:00.000Z'),
        ),
        id: wrong,
      },
      act('entry.reverse', { entryId: wrong, reason: 'misread' }, on('2021-05-08T10:00:00.000Z')),
      act(
        'cask.top-up',
        { caskId: first, source: { kind: 'vat', vatId: estate.vatId }, bulkLitresAt20C: 2 },
        on('2021-06-01T10:00:00.000Z'),
      ),
      act(
        'cask.top-up',
        { caskId: first, source: { kind: 'cask', caskId: second }, bulkLitresAt20C: 2 },
        on('2021-06-02T10:00:00.000Z'),
      ),
      act(
        'cask.re-rack',
        {
          fromCaskId: second,
          toCaskId: empty,
          fillingId: newId(),
          readings: null,
          positionId: null,
        },
        on('2021-07-01T10:00:00.000Z'),
      ),
      act(
        'cask.inspect',
        { caskId: third, condition: 'leaking', finding: 'wet head' },
        on('2021-07-02T10:00:00.000Z'),
      ),
      act(
        'vat.reduce',
        { vatId: estate.vatId, waterLitres: 40, waterTemperatureC: 15 },
        on('2021-07-03T10:00:00.000Z'),
      ),
      act(
        'vat.transfer',
        { fromVatId: estate.vatId, toVatId: otherVat, bulkLitresAt20C: 100 },
        on('2021-07-04T10:00:00.000Z'),
      ),
      act(
        'vat.deliver',
        { vatId: otherVat, bulkLitresAt20C: 50, to: 'A customer', kind: 'delivered' },
        on('2021-07-05T10:00:00.000Z'),
      ),
      act(
        'vat.deliver',
        { vatId: otherVat, bulkLitresAt20C: 50, to: 'the drain', kind: 'destroyed' },
        on('2021-07-06T10:00:00.000Z'),
      ),
      act('plan.save', {
        id: planId,
        code: 'PLAN1',
        name: 'Shore',
        blendOn: '2021-08-01',
        targetLitresAt20C: 190,
        targetStrengthPercentVol: 63,
        request: {},
        answer: {},
        waterLitresAt20C: 0,
        parts: [
          {
            fillingId: estate.fillingIds[2] ?? '',
            bulkLitresAt20C: 200,
            strengthPercentVol: 63.5,
            whole: true,
          },
        ],
      }),
      act('plan.reserve', { planId, vatId: otherVat }, on('2026-03-01T10:00:00.000Z')),
      act(
        'cask.disgorge',
        { caskId: third, vatId: otherVat, readings: null, bulkLitresAt20C: null, planId },
        on('2026-03-01T11:00:00.000Z'),
      ),
      act(
        'plan.complete',
        { planId, blendId, code: 'BL1', name: 'Shore', readings: declared(199, 63.4) },
        on('2026-03-01T12:00:00.000Z'),
      ),
      act(
        'cask.change-owner',
        { caskId: first, accountId: customer },
        on('2026-03-02T10:00:00.000Z'),
      ),
      act(
        'cask.register',
        {
          id: asset,
          code: makeCaskCode(900),
          giai: '9521321C00900',
          aliases: [],
          earlierFillings: 0,
          tareKg: null,
          capacityLitres: 200,
          positionId: null,
          cooperage: PLAIN_BARREL.cooperage,
          geometry: {
            figure: 'spheroid',
            bilgeDiameterMm: 640,
            headDiameterMm: 540,
            lengthMm: 880,
            basis: 'assumed',
          },
        },
        on('2026-03-03T09:00:00.000Z'),
      ),
      act('cask.retire', { caskId: asset, reason: 'staves' }, on('2026-03-03T10:00:00.000Z')),
    ]);
  });
  afterAll(() => server.stop());

  async function exported(query: Record<string, string>) {
    const { bytes } = await keeper.file(api.epcis.exportEvents, { query });
    const document = JSON.parse(new TextDecoder().decode(bytes)) as {
      epcisBody: { eventList: (Record<string, unknown> & { type: string })[] };
    };
    return { document, events: document.epcisBody.eventList };
  }
  const everything = { from: '2019-01-01', to: '2026-12-31' };

  test('of everything: each of the four kinds, each readable by our own schema, each with an id of its own', async () => {
    const { document, events } = await exported(everything);
    const kinds = new Set(events.map((e) => e.type));
    expect([...kinds].sort()).toEqual([
      'AggregationEvent',
      'AssociationEvent',
      'ObjectEvent',
      'TransformationEvent',
    ]);
    expect(new Set(events.map((e) => e['eventID'])).size).toBe(events.length);
    const read = readDocument(document);
    expect(read.unread).toEqual([]);
    expect(read.events).toHaveLength(events.length);
    const declared = events.filter((e) => 'errorDeclaration' in e);
    expect(declared).toMatchObject([
      { bizStep: 'inspecting', errorDeclaration: { reason: 'did_not_occur' } },
    ]);
    // GS1 Digital Link: a cask that has a GIAI goes by it, under the estate's own address.
    expect(events).toContainEqual(
      expect.objectContaining({
        action: 'DELETE',
        epcList: ['http://casks.harrowpoint.example/8004/9521321C00900'],
      }),
    );
  });

  test.skipIf(SCHEMA === undefined)(
    'of everything, a cask, a blend and a period are valid by GS1’s JSON Schema of EPCIS 2.0 (github.com/gs1/EPCIS)',
    async () => {
      const faults = officialFaults();
      for (const query of [
        everything,
        { caskId: estate.caskIds[0] ?? '' },
        { blendId },
        { from: '2021-07-01', to: '2021-07-31' },
      ]) {
        const { document, events } = await exported(query);
        expect(events.length).toBeGreaterThan(4);
        expect(faults(document)).toEqual([]);
      }
      // The check can fail: a place without an address is no place.
      const { document, events } = await exported(everything);
      Object.assign(events[0] ?? {}, { readPoint: { id: 'nowhere in particular' } });
      expect(faults(document)).not.toEqual([]);
    },
  );

  test('of a cask go back to the harvest and hold nothing of other casks’ spirit', async () => {
    const { events } = await exported({ caskId: estate.caskIds[0] ?? '' });
    const steps = events.map((e) => `${e.type} ${String(e['bizStep'])}`);
    expect(steps).toContain('ObjectEvent commissioning');
    expect(events.filter((e) => e['readPoint'] !== undefined)).toHaveLength(1);
    const filled = events.filter((e) => e['bizStep'] === 'rundlet:filling');
    expect(filled).toHaveLength(1);
    expect((await problemOf(keeper.file(api.epcis.exportEvents, {}))).status).toBe(400);
    expect(
      (await problemOf(keeper.file(api.epcis.exportEvents, { query: { caskId: newId() } }))).status,
    ).toBe(404);
  });

  // EPCIS 2.0 (GS1), error declaration: an event in error is told again with a declaration that names the events that are right instead.
  test('of a corrected step say which event is right instead, and go on so when that one is taken back', async () => {
    const { harvestId } = estate;
    const correct = (to: { massKg?: number; sugarPercentMass?: number }) =>
      act('step.correct', { kind: 'harvest-lot', id: harvestId, to, reason: 'Misread the slip' });
    const first = correct({ massKg: 60_500 });
    const second = correct({ sugarPercentMass: 14.5 });
    const back = act('entry.reverse', {
      entryId: second.id,
      reason: 'The first reading was right',
    });
    await doActs(keeper, [first, second, back]);

    const { document, events } = await exported(everything);
    const told = events.filter((e) => 'harvestedOn' in own(e));
    const facts = told.map((e) => [
      (e['quantityList'] as { quantity: number }[])[0]?.quantity,
      own(e)['sugarPercentMass'],
    ]);
    expect(facts).toEqual([
      [60_000, 14],
      [60_500, 14],
      [60_500, 14.5],
      [60_500, 14],
    ]);
    expect(new Set(told.map((e) => e['eventTime'])).size).toBe(1);
    const declarations = told.map((e) => e['errorDeclaration'] as Declaration | undefined);
    expect(declarations.map((d) => d?.reason)).toEqual([
      ...Array<string>(3).fill('incorrect_data'),
      undefined,
    ]);
    expect(declarations.map((d) => d?.correctiveEventIDs?.[0])).toEqual([
      ...told.slice(1).map((e) => e['eventID']),
      undefined,
    ]);
    expect(declarations[0]?.declarationTime).not.toBe(told[0]?.['eventTime']);
    if (SCHEMA !== undefined) expect(officialFaults()(document)).toEqual([]);
  });

  test('of a farm and a still house are taken in with their yields checked, once however often they come', async () => {
    const plot = 'http://casks.harrowpoint.example/id/plot/PLOT000';
    const farm = (name: string) => `https://farm.example/lots/${name}`;
    const at = (eventTime: string, n: number) => ({
      eventID: `urn:uuid:00000000-0000-4000-8000-00000000000${String(n)}`,
      eventTime,
      eventTimeZoneOffset: '+01:00',
    });
    const strength = (value: number) => ({
      sensorElementList: [{ sensorReport: [{ type: 'VolumeFraction', value, uom: 'VP' }] }],
    });
    const document = (massKg: number, heartsLitres: number) => ({
      '@context': [],
      type: 'EPCISDocument',
      schemaVersion: '2.0',
      creationDate: '2025-12-01T08:00:00.000Z',
      epcisBody: {
        eventList: [
          {
            type: 'ObjectEvent',
            action: 'ADD',
            bizStep: 'commissioning',
            readPoint: { id: plot },
            quantityList: [{ epcClass: farm('h-25/1'), quantity: massKg, uom: 'KGM' }],
            ilmd: { 'rundlet:sugarPercentMass': 12 },
            ...at('2025-10-01T09:00:00.000+01:00', 1),
          },
          {
            type: 'TransformationEvent',
            inputQuantityList: [{ epcClass: farm('h-25/1'), quantity: massKg, uom: 'KGM' }],
            outputQuantityList: [{ epcClass: farm('F9'), quantity: 8000, uom: 'LTR' }],
            ...strength(6.5),
            ...at('2025-10-20T09:00:00.000+01:00', 2),
          },
          {
            type: 'ObjectEvent',
            action: 'OBSERVE',
            bizStep: 'shipping',
            epcList: [farm('F9')],
            ...at('2025-10-21T09:00:00Z', 3),
          },
          {
            type: 'TransformationEvent',
            inputQuantityList: [{ epcClass: farm('F9'), quantity: 8000, uom: 'LTR' }],
            outputQuantityList: [{ epcClass: farm('R9'), quantity: heartsLitres, uom: 'LTR' }],
            ...strength(68),
            ...at('2025-10-25T09:00:00.000+01:00', 4),
          },
          {
            type: 'TransformationEvent',
            inputQuantityList: [{ epcClass: farm('R9') }],
            outputQuantityList: [{ epcClass: farm('SPIRIT-9') }],
            ...at('2025-10-26T09:00:00.000+01:00', 5),
          },
        ],
      },
    });
    const send = (body: unknown, apply: boolean) =>
      keeper.call(api.epcis.importEvents, { body: { document: body, apply } });
    const rehearsed = await send(document(10_000, 700), false);
    expect(rehearsed).toMatchObject({ events: 5, applied: false, refused: [] });
    expect(rehearsed.taken.map((t) => t.kind)).toEqual([
      'harvest.record',
      'ferment.record',
      'still-run.record',
      'spirit-lot.record',
    ]);
    expect(rehearsed.left).toMatchObject([{ index: 2 }]);
    // 8000 L at 6.5 % vol hold 520 L of ethanol: 900 L at 68 % would hold 612.
    const impossible = await send(document(10_000, 900), true);
    expect(impossible.applied).toBe(false);
    expect(impossible.refused[0]?.reason).toContain('hearts hold');
    const lots = async () => (await keeper.call(api.lineage.lots)).rows.map((l) => l.code);
    expect(await lots()).not.toContain('SPIRIT-9');
    expect((await send(document(10_000, 700), true)).applied).toBe(true);
    expect(await lots()).toContain('SPIRIT-9');
    const again = await send(document(10_000, 700), true);
    expect(again).toMatchObject({ taken: [], refused: [] });
    expect(again.known).toHaveLength(4);
    // And the estate's own events are known to it.
    const own = await send((await exported(everything)).document, false);
    expect(own).toMatchObject({ taken: [], refused: [] });
    expect(own.known.length).toBeGreaterThanOrEqual(4);
    expect((await problemOf(send({ type: 'Letter' }, false))).errors?.[0]?.detail).toContain('XML');
  });

  test.skipIf(EXAMPLES === undefined)(
    'of the standard’s own examples are read whole, and each is taken or left with a reason',
    async () => {
      const folder = EXAMPLES ?? '';
      const files = readdirSync(folder).filter((file) => file.endsWith('.jsonld'));
      expect(files.length).toBeGreaterThan(10);
      let events = 0;
      for (const file of files) {
        const document = JSON.parse(readFileSync(join(folder, file), 'utf8')) as unknown;
        const read = readDocument(document);
        expect(read.unread, file).toEqual([]);
        const report = await keeper.call(api.epcis.importEvents, {
          body: { document, apply: false },
        });
        expect(report.refused, file).toEqual([]);
        expect(report.taken.length + report.known.length + report.left.length, file).toBe(
          report.events,
        );
        for (const { reason } of report.left) expect(reason.length).toBeGreaterThan(10);
        events += report.events;
      }
      console.info(`${String(files.length)} official examples with ${String(events)} events read`);
    },
  );

  test('words of the older vocabulary and of the web’s are read as the plain words they are', () => {
    const event = {
      type: 'ObjectEvent',
      action: 'OBSERVE',
      eventTime: '2026-01-01T00:00:00Z',
      eventTimeZoneOffset: '+00:00',
    };
    for (const bizStep of [
      'urn:epcglobal:cbv:bizstep:shipping',
      'https://ref.gs1.org/cbv/BizStep-shipping',
      'cbv:BizStep-shipping',
      'shipping',
    ])
      expect(readDocument({ ...event, bizStep }).events[0]?.bizStep).toBe('shipping');
    expect(EpcisEvent.safeParse({ ...event, eventTimeZoneOffset: 'Z' }).success).toBe(false);
    expect(readDocument({ ...event, eventTimeZoneOffset: 'Z' }).unread[0]?.reason).toContain(
      '+00:00',
    );
  });
});
