import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { CalendarDate, Id, Instant } from '../primitives.ts';
import { LiquidFigures } from '../readings.ts';
import {
  Account,
  Cask,
  CASK_CONDITIONS,
  Filling,
  FillingEvent,
  Gauge,
  Place,
  Position,
  Sample,
  Store,
  Zone,
} from '../records.ts';
import { HistoryLine } from './journal.ts';

/** One line of the stock list. */
export const CaskRow = z.strictObject({
  id: Id,
  code: z.string(),
  kind: z.string(),
  nominalLitres: z.number(),
  woodSpecies: z.string(),
  previousContents: z.string(),
  status: Cask.shape.status,
  condition: Cask.shape.condition,
  storeId: Id.nullable(),
  zoneId: Id.nullable(),
  positionId: Id.nullable(),
  positionCode: z.string().nullable(),
  fillingId: Id.nullable(),
  fillingCode: z.string().nullable(),
  fillNumber: z.int().nullable(),
  filledAt: Instant.nullable(),
  lastGaugedAt: Instant.nullable(),
  figures: LiquidFigures.nullable(),
  /** Whether `figures` were measured that day or are the book since the last gauge. */
  accountId: Id.nullable(),
  holdReason: z.string().nullable(),
  reservedByPlanId: Id.nullable(),
  suspicion: Filling.shape.suspicion.nullable(),
  dutyStatus: Filling.shape.dutyStatus.nullable(),
});
export type CaskRow = z.infer<typeof CaskRow>;

export const CaskQuery = z.strictObject({
  ...PageQuery,
  /** Start of a cask code, or an alias. */
  search: z.string().trim().max(60).optional(),
  status: Cask.shape.status.optional(),
  condition: z.enum(CASK_CONDITIONS).optional(),
  storeId: Id.optional(),
  zoneId: Id.optional(),
  accountId: Id.optional(),
  woodSpecies: z.string().max(120).optional(),
  caskKind: z.string().max(120).optional(),
  previousContents: z.string().max(120).optional(),
  fillNumber: z.coerce.number().int().min(1).optional(),
  filledFrom: CalendarDate.optional(),
  filledTo: CalendarDate.optional(),
  strengthFrom: z.coerce.number().min(0).max(100).optional(),
  strengthTo: z.coerce.number().min(0).max(100).optional(),
  suspicion: Filling.shape.suspicion.optional(),
  dutyStatus: Filling.shape.dutyStatus.optional(),
  spiritLotId: Id.optional(),
  sort: z
    .enum(['code', 'filledAt', 'strength', 'litresPureAlcohol', 'lastGaugedAt'])
    .default('code'),
  direction: z.enum(['asc', 'desc']).default('asc'),
});
export type CaskQuery = z.infer<typeof CaskQuery>;

export const OriginShare = z.strictObject({
  id: Id,
  code: z.string(),
  name: z.string(),
  share: z.number(),
});
export type OriginShare = z.infer<typeof OriginShare>;
/** Where a liquid's ethanol came from; each list sums to 1. */
export const Origins = z.strictObject({
  lots: z.array(OriginShare),
  harvests: z.array(OriginShare),
  plots: z.array(OriginShare),
});
export type Origins = z.infer<typeof Origins>;

/** Everything the cask's card shows. */
export const CaskCard = z.strictObject({
  cask: Cask,
  url: z.string(),
  store: Store.nullable(),
  zone: Zone.nullable(),
  position: Position.nullable(),
  filling: Filling.nullable(),
  account: Account.nullable(),
  ageYears: z.number().nullable(),
  lossSinceFill: z
    .strictObject({
      bulkLitres: z.number(),
      litresPureAlcohol: z.number(),
      percentOfOriginalPerYear: z.number().nullable(),
    })
    .nullable(),
  gauges: z.array(Gauge),
  events: z.array(FillingEvent),
  samples: z.array(Sample),
  origins: Origins.nullable(),
  earlierFillings: z.array(Filling),
  /** Casks standing before it in the same bay that must be shifted first. */
  history: z.array(HistoryLine),
});
export type CaskCard = z.infer<typeof CaskCard>;

/** What a scanned or typed text leads to. */
export const ScanAnswer = z.strictObject({
  status: z.enum([
    'found',
    'several',
    /** The code of a label printed in advance that is on no cask yet; `spareCode` says which. */
    'spare-label',
    'unknown',
    'wrong-check-character',
    'not-a-code',
  ]),
  matches: z.array(
    z.strictObject({
      kind: z.enum(['cask', 'position', 'sample', 'vat']),
      id: Id,
      code: z.string(),
      line: z.string(),
    }),
  ),
  /** Existing codes nearest to a misread one. */
  nearest: z.array(
    z.strictObject({
      kind: z.enum(['cask', 'position']),
      id: Id,
      code: z.string(),
      line: z.string(),
    }),
  ),
  spareCode: z.string().nullable(),
  message: z.string(),
});
export type ScanAnswer = z.infer<typeof ScanAnswer>;

/** What a phone holds to work a store without a network. */
export const AisleSnapshot = z.strictObject({
  madeAt: Instant,
  store: Store,
  zones: z.array(Zone),
  positions: z.array(Place),
  casks: z.array(
    z.strictObject({
      id: Id,
      code: z.string(),
      giai: z.string().nullable(),
      aliases: z.array(z.string()),
      kind: z.string(),
      nominalLitres: z.number(),
      woodSpecies: z.string(),
      positionId: Id.nullable(),
      status: Cask.shape.status,
      condition: Cask.shape.condition,
      geometry: Cask.shape.geometry,
      tareKg: z.number().nullable(),
      filledAt: Instant.nullable(),
      fillNumber: z.int().nullable(),
      figures: LiquidFigures.nullable(),
      lastGaugedAt: Instant.nullable(),
      lastEntryId: Id,
    }),
  ),
  stocktakes: z.array(
    z.strictObject({
      id: Id,
      code: z.string(),
      title: z.string(),
      blind: z.boolean(),
      zoneIds: z.array(Id),
      rows: z.array(z.string()),
      /** The casks asked for, where that is not every cask of the zones and rows. */
      caskIds: z.array(Id).nullable(),
      /** To be counted again: casks, or codes that no cask answers to. */
      recount: z.array(z.strictObject({ key: z.string(), positionId: Id.nullable() })),
    }),
  ),
  /** Behind it our own code may stand, as the reference of a GS1 key; null where the estate has none. */
  companyPrefix: z.string().nullable(),
  /** Codes of spare labels that are on no cask yet. */
  spareCodes: z.array(z.string()),
});
export type AisleSnapshot = z.infer<typeof AisleSnapshot>;

export const casksApi = {
  list: endpoint({
    method: 'GET',
    path: '/api/casks',
    summary: 'Casks, filtered and sorted, paged by key',
    access: 'read',
    query: CaskQuery,
    response: pageOf(CaskRow),
  }),
  facets: endpoint({
    method: 'GET',
    path: '/api/cask-facets',
    summary: 'The kinds, woods and earlier contents that occur',
    access: 'read',
    response: z.strictObject({
      caskKinds: z.array(z.string()),
      woodSpecies: z.array(z.string()),
      previousContents: z.array(z.string()),
    }),
  }),
  card: endpoint({
    method: 'GET',
    path: '/api/casks/:id',
    summary: 'A cask’s card',
    access: 'read',
    params: ById,
    response: CaskCard,
  }),
  nextCodes: endpoint({
    method: 'GET',
    path: '/api/next-codes',
    summary: 'The next free cask codes',
    access: 'warehouse',
    query: z.strictObject({ count: z.coerce.number().int().min(1).max(500).default(1) }),
    response: z.strictObject({ caskCodes: z.array(z.string()), sampleCodes: z.array(z.string()) }),
  }),
  scan: endpoint({
    method: 'GET',
    path: '/api/scan',
    summary: 'What a scanned or typed text leads to',
    access: 'read',
    query: z.strictObject({ text: z.string().min(1).max(400) }),
    response: ScanAnswer,
  }),
  aisle: endpoint({
    method: 'GET',
    path: '/api/stores/:id/aisle',
    summary: 'A store’s casks and positions for work without a network',
    access: 'warehouse',
    params: ById,
    response: AisleSnapshot,
  }),
};
