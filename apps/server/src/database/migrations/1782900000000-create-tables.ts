import type { MigrationInterface, QueryRunner } from 'typeorm';
import {
  COUNT,
  DATE,
  DOCUMENT,
  FLAG,
  HASH,
  ID,
  INSTANT,
  nullable,
  primary,
  REAL,
  text,
  WHOLE,
} from '../column-types.ts';
import { calledIndex, index, unique } from '../table.ts';
import { createTable } from './create-table.ts';

export class CreateTables1782900000000 implements MigrationInterface {
  async up(q: QueryRunner): Promise<void> {
    await createTable(q, 'store', { id: primary(ID), code: text(40), record: DOCUMENT }, [
      unique('code'),
    ]);
    await createTable(
      q,
      'zone',
      { id: primary(ID), code: text(40), storeId: ID, record: DOCUMENT },
      [unique('code'), index('storeId')],
    );
    await createTable(
      q,
      'position',
      {
        id: primary(ID),
        code: text(40),
        storeId: ID,
        zoneId: ID,
        row: text(120),
        walkOrder: COUNT,
        capacity: COUNT,
        occupied: COUNT,
        record: DOCUMENT,
      },
      [
        unique('code'),
        index('zoneId', 'walkOrder', 'id'),
        index('storeId', 'walkOrder', 'id'),
        index('walkOrder', 'id'),
      ],
    );
    await createTable(q, 'account', { id: primary(ID), code: text(40), record: DOCUMENT }, [
      unique('code'),
    ]);
    await createTable(q, 'plot', { id: primary(ID), code: text(40), record: DOCUMENT }, [
      unique('code'),
    ]);
    await createTable(
      q,
      'harvest_lot',
      { id: primary(ID), code: text(40), plotId: ID, harvestedOn: DATE, record: DOCUMENT },
      [unique('code'), index('harvestedOn', 'id'), index('plotId', 'harvestedOn', 'id')],
    );
    await createTable(
      q,
      'ferment',
      { id: primary(ID), code: text(40), startedOn: DATE, record: DOCUMENT },
      [unique('code'), index('startedOn', 'id')],
    );
    await createTable(q, 'ferment_harvest_lot', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(
      q,
      'still_run',
      { id: primary(ID), code: text(40), ranOn: DATE, record: DOCUMENT },
      [unique('code'), index('ranOn', 'id')],
    );
    await createTable(q, 'still_run_ferment', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(q, 'spirit_lot', { id: primary(ID), code: text(40), record: DOCUMENT }, [
      unique('code'),
    ]);
    await createTable(q, 'spirit_lot_still_run', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(q, 'spirit_lot_harvest_lot', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(q, 'spirit_lot_plot', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(
      q,
      'vat',
      {
        id: primary(ID),
        code: text(40),
        storeId: ID,
        accountId: ID,
        bulkLitresAt20C: REAL,
        ethanolMg: WHOLE,
        record: DOCUMENT,
      },
      [unique('code')],
    );
    await createTable(q, 'vat_lot', { ownerId: primary(ID), value: primary(ID), amount: WHOLE }, [
      index('value'),
    ]);
    await createTable(
      q,
      'cask',
      {
        id: primary(ID),
        code: text(40),
        serial: nullable(COUNT),
        status: INSTANT,
        condition: INSTANT,
        storeId: nullable(ID),
        zoneId: nullable(ID),
        positionId: nullable(ID),
        fillingId: nullable(ID),
        giai: nullable(text(30)),
        caskKind: text(120),
        woodSpecies: text(120),
        previousContents: text(120),
        record: DOCUMENT,
      },
      [
        unique('code'),
        index('serial'),
        index('status', 'code'),
        index('storeId', 'code'),
        index('zoneId', 'code'),
        index('positionId'),
        index('fillingId'),
        index('giai'),
        index('condition', 'code'),
        index('caskKind'),
        index('woodSpecies'),
        index('previousContents'),
      ],
    );
    await createTable(q, 'cask_alias', { ownerId: primary(ID), value: primary(text(60)) }, [
      unique('value'),
    ]);
    await createTable(
      q,
      'filling',
      {
        id: primary(ID),
        code: text(40),
        caskId: ID,
        caskCode: text(40),
        fillNumber: COUNT,
        accountId: ID,
        storeId: nullable(ID),
        zoneId: nullable(ID),
        caskKind: text(120),
        woodSpecies: text(120),
        previousContents: text(120),
        status: INSTANT,
        suspicion: INSTANT,
        reservedByPlanId: nullable(ID),
        filledAt: INSTANT,
        lastGaugedAt: INSTANT,
        oakFrom: INSTANT,
        bulkLitresAt20C: REAL,
        strengthPercentVol: REAL,
        litresPureAlcohol: REAL,
        ethanolMg: WHOLE,
        record: DOCUMENT,
      },
      [
        index('code'),
        index('caskId'),
        index('status', 'filledAt', 'caskCode'),
        index('status', 'strengthPercentVol', 'caskCode'),
        index('status', 'litresPureAlcohol', 'caskCode'),
        index('status', 'lastGaugedAt', 'caskCode'),
        calledIndex(
          'sums',
          'status',
          'storeId',
          'zoneId',
          'oakFrom',
          'bulkLitresAt20C',
          'litresPureAlcohol',
        ),
        index('zoneId', 'status'),
        index('storeId', 'status'),
        index('accountId', 'status'),
        index('suspicion', 'lastGaugedAt'),
        index('reservedByPlanId'),
      ],
    );
    await createTable(
      q,
      'filling_lot',
      { ownerId: primary(ID), value: primary(ID), amount: WHOLE },
      [index('value')],
    );
    await createTable(
      q,
      'gauge',
      {
        id: primary(ID),
        fillingId: ID,
        caskId: ID,
        takenAt: INSTANT,
        verdict: INSTANT,
        record: DOCUMENT,
      },
      [index('fillingId', 'takenAt'), index('takenAt', 'id')],
    );
    await createTable(
      q,
      'filling_event',
      { id: primary(text(80)), fillingId: ID, at: INSTANT, kind: INSTANT, record: DOCUMENT },
      [index('fillingId', 'at')],
    );
    await createTable(
      q,
      'sample',
      {
        id: primary(ID),
        code: text(40),
        serial: nullable(COUNT),
        fillingId: ID,
        caskId: ID,
        takenAt: INSTANT,
        record: DOCUMENT,
      },
      [unique('code'), index('serial'), index('fillingId', 'takenAt')],
    );
    await createTable(
      q,
      'posting',
      {
        id: primary(text(80)),
        entryId: ID,
        at: INSTANT,
        month: text(7),
        accountId: ID,
        storeId: nullable(ID),
        vesselKind: INSTANT,
        vesselId: ID,
        fillingId: nullable(ID),
        cause: INSTANT,
        ethanolMg: WHOLE,
        record: DOCUMENT,
      },
      [
        index('entryId'),
        index('month', 'accountId', 'storeId', 'cause', 'ethanolMg'),
        index('month', 'cause', 'at'),
        index('fillingId', 'cause'),
        index('at', 'id'),
      ],
    );
    await createTable(
      q,
      'stocktake',
      { id: primary(ID), code: text(40), status: INSTANT, openedAt: INSTANT, record: DOCUMENT },
      [unique('code'), index('openedAt', 'id'), index('status')],
    );
    await createTable(
      q,
      'stocktake_line',
      {
        id: primary(text(300)),
        stocktakeId: ID,
        caskId: nullable(ID),
        code: text(200),
        expectedPositionId: nullable(ID),
        foundPositionId: nullable(ID),
        state: INSTANT,
        timesCounted: COUNT,
        damagedLabel: FLAG,
        record: DOCUMENT,
      },
      [
        index('stocktakeId', 'state', 'timesCounted', 'damagedLabel'),
        index('caskId', 'stocktakeId'),
      ],
    );
    await createTable(
      q,
      'blend_plan',
      { id: primary(ID), code: text(40), status: INSTANT, createdAt: INSTANT, record: DOCUMENT },
      [unique('code'), index('createdAt', 'id')],
    );
    await createTable(
      q,
      'blend',
      { id: primary(ID), code: text(40), planId: nullable(ID), madeAt: INSTANT, record: DOCUMENT },
      [unique('code'), index('madeAt', 'id'), index('planId')],
    );
    await createTable(q, 'blend_lot', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(q, 'blend_filling', { ownerId: primary(ID), value: primary(ID) }, [
      index('value'),
    ]);
    await createTable(
      q,
      'climate_import',
      { id: primary(ID), zoneId: ID, firstAt: INSTANT, contentSha256: HASH, record: DOCUMENT },
      [index('zoneId', 'firstAt')],
    );
    await createTable(
      q,
      'label_print',
      { id: primary(text(80)), subjectKind: INSTANT, subjectId: ID, at: INSTANT, record: DOCUMENT },
      [index('subjectId', 'at')],
    );
    await createTable(
      q,
      'held_act',
      { id: primary(ID), status: INSTANT, receivedAt: INSTANT, record: DOCUMENT },
      [index('status', 'receivedAt', 'id')],
    );
    await createTable(
      q,
      'setting',
      { id: primary(text(120)), effectiveFrom: DATE, record: DOCUMENT },
      [],
    );
    await createTable(
      q,
      'journal_entry',
      {
        seq: primary(COUNT),
        id: ID,
        kind: text(40),
        happenedAt: INSTANT,
        receivedAt: INSTANT,
        actorId: text(60),
        deviceId: nullable(text(60)),
        body: DOCUMENT,
        outcome: DOCUMENT,
        subjects: DOCUMENT,
        previousHash: HASH,
        hash: HASH,
        reversesEntryId: nullable(ID),
      },
      [unique('id'), index('kind', 'seq'), index('reversesEntryId')],
    );
    await createTable(
      q,
      'journal_subject',
      { subject: primary(text(340)), seq: primary(COUNT) },
      [],
    );
    await createTable(q, 'entry_effect', { entryId: primary(ID), effects: DOCUMENT }, []);
    await createTable(
      q,
      'person',
      {
        id: primary(ID),
        signInName: text(60),
        name: text(120),
        roles: text(200),
        passwordHash: text(200),
        disabled: FLAG,
        createdAt: INSTANT,
      },
      [unique('signInName')],
    );
    await createTable(
      q,
      'session',
      {
        tokenHash: primary(HASH),
        personId: ID,
        createdAt: INSTANT,
        lastSeenAt: INSTANT,
        expiresAt: INSTANT,
      },
      [index('personId'), index('expiresAt')],
    );
    await createTable(
      q,
      'device_token',
      {
        id: primary(ID),
        label: text(120),
        roles: text(200),
        secretHash: HASH,
        createdAt: INSTANT,
        createdBy: ID,
        lastUsedAt: nullable(INSTANT),
        revokedAt: nullable(INSTANT),
      },
      [unique('secretHash')],
    );
    await createTable(
      q,
      'sign_in_attempt',
      { id: primary(ID), signInName: text(60), address: HASH, at: INSTANT, succeeded: FLAG },
      [index('signInName', 'at'), index('address', 'at')],
    );
    await createTable(
      q,
      'one_time_token',
      { purpose: primary(text(40)), tokenHash: HASH, createdAt: INSTANT },
      [],
    );
    await createTable(
      q,
      'climate_reading',
      {
        zoneId: primary(ID),
        at: primary(INSTANT),
        temperatureC: REAL,
        relativeHumidityPercent: REAL,
        importId: ID,
      },
      [index('importId')],
    );
    await createTable(
      q,
      'calibration',
      { id: primary(ID), madeAt: INSTANT, fillings: COUNT, regauges: COUNT, document: DOCUMENT },
      [index('madeAt')],
    );
    await createTable(
      q,
      'job',
      {
        id: primary(ID),
        kind: text(40),
        status: INSTANT,
        progress: nullable(REAL),
        request: DOCUMENT,
        detail: DOCUMENT,
        result: nullable(DOCUMENT),
        error: nullable(DOCUMENT),
        createdBy: text(60),
        createdAt: INSTANT,
        startedAt: nullable(INSTANT),
        finishedAt: nullable(INSTANT),
      },
      [index('kind', 'status', 'createdAt')],
    );
  }

  async down(q: QueryRunner): Promise<void> {
    for (const table of [
      'job',
      'calibration',
      'climate_reading',
      'one_time_token',
      'sign_in_attempt',
      'device_token',
      'session',
      'person',
      'entry_effect',
      'journal_subject',
      'journal_entry',
      'setting',
      'held_act',
      'label_print',
      'climate_import',
      'blend_filling',
      'blend_lot',
      'blend',
      'blend_plan',
      'stocktake_line',
      'stocktake',
      'posting',
      'sample',
      'filling_event',
      'gauge',
      'filling_lot',
      'filling',
      'cask_alias',
      'cask',
      'vat_lot',
      'vat',
      'spirit_lot_plot',
      'spirit_lot_harvest_lot',
      'spirit_lot_still_run',
      'spirit_lot',
      'still_run_ferment',
      'still_run',
      'ferment_harvest_lot',
      'ferment',
      'harvest_lot',
      'plot',
      'account',
      'position',
      'zone',
      'store',
    ])
      await q.dropTable(table);
  }
}
