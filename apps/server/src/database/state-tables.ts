/**
 * The state tables: one per record kind. `record` holds the whole record as canonical JSON, so folding the journal
 * again gives the same bytes; the other columns exist to be searched, sorted and summed by.
 */
import { checkCode } from '@rundlet/identifiers';
import type { Content, RecordKind } from '@rundlet/contracts';
import {
  COUNT,
  DATE,
  FLAG,
  ID,
  INSTANT,
  nullable,
  REAL,
  text,
  WHOLE,
  type Column,
} from './column-types.ts';
import { stateTable, type Field, type SqlValue, type StateTable } from './state-table.ts';
import { calledIndex, index, unique } from './table.ts';

const CODE = text(40);
const NAME = text(120);
const LEVEL = text(24);

const code: Field<{ code: string }> = { column: CODE, of: (r) => r.code };
/** Number behind a code of ours, to find the next free one; null for a code of somebody else's. */
const serial: Field<{ code: string }> = {
  column: nullable(COUNT),
  of: (r) => {
    const check = checkCode(r.code);
    return check.status === 'ok' ? check.serial : null;
  },
};
/** A column holding the record's field of the same name. */
const same = <N extends string>(name: N, column: Column) => {
  const field: Field<Readonly<Record<N, SqlValue>>> = { column, of: (r) => r[name] };
  return { [name]: field } as Record<N, typeof field>;
};
const id = <N extends string>(name: N) => same(name, ID);
const optionalId = <N extends string>(name: N) => same(name, nullable(ID));
/** Ethanol by spirit lot, mg. */
const lotsOf = {
  column: ID,
  amount: WHOLE,
  of: (r: { content: Content }) => r.content.ethanolMgByLot,
};
export const ethanolMgOf = (content: Content): number =>
  Object.values(content.ethanolMgByLot).reduce((sum, mg) => sum + mg, 0);

/** When the youngest part would have been laid down had it never left oak: fill date less the days it brought. */
export function oakFrom(filling: { agedFrom: string; agedDaysBefore: number }): string {
  return new Date(Date.parse(filling.agedFrom) - filling.agedDaysBefore * 86_400_000).toISOString();
}

export const STATE_TABLES: { readonly [K in RecordKind]: StateTable<K> } = {
  store: stateTable('store', { fields: { code }, indexes: [unique('code')] }),
  zone: stateTable('zone', {
    fields: { code, ...id('storeId') },
    indexes: [unique('code'), index('storeId')],
  }),
  position: stateTable('position', {
    fields: {
      code,
      ...id('storeId'),
      ...id('zoneId'),
      ...same('row', NAME),
      ...same('walkOrder', COUNT),
      ...same('capacity', COUNT),
      ...same('occupied', COUNT),
    },
    indexes: [
      unique('code'),
      index('zoneId', 'walkOrder', 'id'),
      index('storeId', 'walkOrder', 'id'),
      index('walkOrder', 'id'),
    ],
  }),
  account: stateTable('account', { fields: { code }, indexes: [unique('code')] }),

  plot: stateTable('plot', { fields: { code }, indexes: [unique('code')] }),
  'harvest-lot': stateTable('harvest-lot', {
    fields: { code, ...id('plotId'), ...same('harvestedOn', DATE) },
    indexes: [unique('code'), index('harvestedOn', 'id'), index('plotId', 'harvestedOn', 'id')],
  }),
  ferment: stateTable('ferment', {
    fields: { code, ...same('startedOn', DATE) },
    lists: { harvest_lot: { column: ID, of: (r) => r.inputs.map((i) => i.harvestLotId) } },
    indexes: [unique('code'), index('startedOn', 'id')],
  }),
  'still-run': stateTable('still-run', {
    fields: { code, ...same('ranOn', DATE) },
    lists: { ferment: { column: ID, of: (r) => r.inputs.map((i) => i.fermentId) } },
    indexes: [unique('code'), index('ranOn', 'id')],
  }),
  'spirit-lot': stateTable('spirit-lot', {
    fields: { code },
    lists: {
      still_run: { column: ID, of: (r) => r.inputs.map((i) => i.stillRunId) },
      harvest_lot: { column: ID, of: (r) => Object.keys(r.harvestShares) },
      plot: { column: ID, of: (r) => Object.keys(r.plotShares) },
    },
    indexes: [unique('code')],
  }),

  vat: stateTable('vat', {
    fields: {
      code,
      ...id('storeId'),
      ...id('accountId'),
      bulkLitresAt20C: { column: REAL, of: (r) => r.figures.bulkLitresAt20C },
      ethanolMg: { column: WHOLE, of: (r) => ethanolMgOf(r.content) },
    },
    lists: { lot: lotsOf },
    indexes: [unique('code')],
  }),
  cask: stateTable('cask', {
    fields: {
      code,
      serial,
      ...same('status', LEVEL),
      ...same('condition', LEVEL),
      ...optionalId('storeId'),
      ...optionalId('zoneId'),
      ...optionalId('positionId'),
      ...optionalId('fillingId'),
      ...same('giai', nullable(text(30))),
      caskKind: { column: NAME, of: (r) => r.cooperage.kind },
      woodSpecies: { column: NAME, of: (r) => r.cooperage.woodSpecies },
      previousContents: { column: NAME, of: (r) => r.cooperage.previousContents },
    },
    lists: { alias: { column: text(60), of: (r) => r.aliases, unique: true } },
    indexes: [
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
  }),
  filling: stateTable('filling', {
    fields: {
      code,
      ...id('caskId'),
      ...same('caskCode', CODE),
      ...same('fillNumber', COUNT),
      ...id('accountId'),
      ...optionalId('storeId'),
      ...optionalId('zoneId'),
      ...same('caskKind', NAME),
      ...same('woodSpecies', NAME),
      ...same('previousContents', NAME),
      ...same('status', LEVEL),
      ...same('suspicion', LEVEL),
      ...same('dutyStatus', LEVEL),
      ...optionalId('reservedByPlanId'),
      ...same('filledAt', INSTANT),
      ...same('lastGaugedAt', INSTANT),
      oakFrom: { column: INSTANT, of: oakFrom },
      bulkLitresAt20C: { column: REAL, of: (r) => r.figures.bulkLitresAt20C },
      strengthPercentVol: { column: REAL, of: (r) => r.figures.strengthPercentVol },
      litresPureAlcohol: { column: REAL, of: (r) => r.figures.litresPureAlcohol },
      ethanolMg: { column: WHOLE, of: (r) => ethanolMgOf(r.content) },
    },
    lists: { lot: lotsOf },
    indexes: [
      index('code'),
      index('caskId'),
      index('status', 'filledAt', 'caskCode'),
      // The day of filling is filtered by in any order: it is told from the index whether a row is wanted.
      index('status', 'strengthPercentVol', 'caskCode', 'filledAt'),
      index('status', 'litresPureAlcohol', 'caskCode', 'filledAt'),
      index('status', 'lastGaugedAt', 'caskCode', 'filledAt'),
      // Holds all that the overview sums, so that the wide rows themselves need not be read.
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
  }),
  gauge: stateTable('gauge', {
    fields: {
      ...id('fillingId'),
      ...id('caskId'),
      ...same('takenAt', INSTANT),
      ...same('verdict', LEVEL),
    },
    indexes: [index('fillingId', 'takenAt'), index('takenAt', 'id')],
  }),
  'filling-event': stateTable('filling-event', {
    id: text(80),
    fields: {
      ...id('fillingId'),
      ...same('at', INSTANT),
      ...same('kind', LEVEL),
    },
    indexes: [index('fillingId', 'at')],
  }),
  sample: stateTable('sample', {
    fields: {
      code,
      serial,
      ...id('fillingId'),
      ...id('caskId'),
      ...same('takenAt', INSTANT),
    },
    indexes: [unique('code'), index('serial'), index('fillingId', 'takenAt')],
  }),
  'cask-result': stateTable('cask-result', {
    fields: { ...id('fillingId'), ...id('caskId'), ...same('at', INSTANT) },
    indexes: [index('fillingId', 'at')],
  }),
  posting: stateTable('posting', {
    id: text(80),
    fields: {
      ...id('entryId'),
      ...same('at', INSTANT),
      ...same('month', text(7)),
      ...id('accountId'),
      ...optionalId('storeId'),
      ...same('vesselKind', LEVEL),
      ...id('vesselId'),
      ...optionalId('fillingId'),
      ...same('cause', LEVEL),
      ...same('dutyStatus', LEVEL),
      ...same('ethanolMg', WHOLE),
    },
    indexes: [
      index('entryId'),
      index('month', 'accountId', 'storeId', 'cause', 'ethanolMg'),
      index('month', 'cause', 'at'),
      index('fillingId', 'cause', 'ethanolMg'),
      index('at', 'id'),
    ],
  }),

  'month-close': stateTable('month-close', {
    id: text(7),
    fields: { ...same('closedAt', INSTANT) },
    indexes: [],
  }),
  'account-lock': stateTable('account-lock', {
    id: text(7),
    fields: { ...same('through', text(7)) },
    indexes: [],
  }),

  stocktake: stateTable('stocktake', {
    fields: {
      code,
      ...same('status', LEVEL),
      ...same('openedAt', INSTANT),
    },
    indexes: [unique('code'), index('openedAt', 'id'), index('status')],
  }),
  'stocktake-line': stateTable('stocktake-line', {
    id: text(300),
    fields: {
      ...id('stocktakeId'),
      ...optionalId('caskId'),
      ...same('code', text(200)),
      ...optionalId('expectedPositionId'),
      ...optionalId('foundPositionId'),
      ...same('state', LEVEL),
      ...same('timesCounted', COUNT),
      ...same('damagedLabel', FLAG),
    },
    indexes: [
      index('stocktakeId', 'state', 'timesCounted', 'damagedLabel'),
      index('caskId', 'stocktakeId'),
    ],
  }),

  'blend-plan': stateTable('blend-plan', {
    fields: {
      code,
      ...same('status', LEVEL),
      ...same('createdAt', INSTANT),
    },
    indexes: [unique('code'), index('createdAt', 'id')],
  }),
  blend: stateTable('blend', {
    fields: {
      code,
      planId: { column: nullable(ID), of: (r) => r.planId },
      ...same('madeAt', INSTANT),
    },
    lists: {
      lot: { column: ID, of: (r) => Object.keys(r.lotShares) },
      filling: { column: ID, of: (r) => r.fillings.map((f) => f.fillingId) },
    },
    indexes: [unique('code'), index('madeAt', 'id'), index('planId')],
  }),

  'climate-import': stateTable('climate-import', {
    fields: {
      ...id('zoneId'),
      ...same('firstAt', INSTANT),
      ...same('contentSha256', text(64)),
    },
    indexes: [index('zoneId', 'firstAt')],
  }),
  'label-print': stateTable('label-print', {
    id: text(80),
    fields: {
      ...same('subjectKind', LEVEL),
      ...id('subjectId'),
      ...same('at', INSTANT),
    },
    indexes: [index('subjectId', 'at')],
  }),
  'spare-label': stateTable('spare-label', {
    id: text(80),
    fields: { code, serial, ...same('at', INSTANT) },
    indexes: [unique('code'), index('serial'), index('at', 'id')],
  }),
  'label-template': stateTable('label-template', { id: text(80), fields: {}, indexes: [] }),
  printer: stateTable('printer', { fields: {}, indexes: [] }),
  'held-act': stateTable('held-act', {
    fields: {
      ...same('status', LEVEL),
      ...same('receivedAt', INSTANT),
    },
    indexes: [index('status', 'receivedAt', 'id')],
  }),
  'signing-key': stateTable('signing-key', {
    id: text(43),
    fields: { ...same('announcedAt', INSTANT) },
    indexes: [index('announcedAt')],
  }),
  'bottling-run': stateTable('bottling-run', {
    fields: { code, ...id('vatId'), ...same('at', INSTANT) },
    lists: {
      lot: { column: ID, of: (r) => Object.keys(r.lotShares) },
      blend: { column: ID, of: (r) => (r.blendId === null ? [] : [r.blendId]) },
    },
    indexes: [unique('code'), index('at', 'id')],
  }),
  checkpoint: stateTable('checkpoint', {
    fields: { ...same('seq', COUNT), ...same('at', INSTANT) },
    indexes: [index('at', 'id'), index('seq')],
  }),
  setting: stateTable('setting', {
    id: text(120),
    fields: { ...same('effectiveFrom', DATE) },
    indexes: [],
  }),
};

export const stateTableOf = (kind: RecordKind): StateTable => STATE_TABLES[kind];
