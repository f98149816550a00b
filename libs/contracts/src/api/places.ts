import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { Id } from '../primitives.ts';
import { LiquidFigures } from '../readings.ts';
import { Account, Filling, Place, Position, Store, Vat, Zone } from '../records.ts';
import { Origins } from './casks.ts';

export const StoreView = z.strictObject({
  store: Store,
  zones: z.array(
    z.strictObject({
      zone: Zone,
      positions: z.int(),
      capacity: z.int(),
      casks: z.int(),
      figures: z.strictObject({ bulkLitresAt20C: z.number(), litresPureAlcohol: z.number() }),
    }),
  ),
});
export type StoreView = z.infer<typeof StoreView>;

/** One position on the store's map with the casks in it. */
export const MapCell = z.strictObject({
  position: Place,
  casks: z.array(
    z.strictObject({
      id: Id,
      code: z.string(),
      status: z.string(),
      condition: z.string(),
      ageYears: z.number().nullable(),
      strengthPercentVol: z.number().nullable(),
      lossPercentPerYear: z.number().nullable(),
      suspicion: Filling.shape.suspicion.nullable(),
    }),
  ),
});
export type MapCell = z.infer<typeof MapCell>;

export const CLIMATE_WISHES = ['cooler', 'warmer', 'damper', 'drier'] as const;

/** A place for a cask, and what speaks for it. */
export const SuggestedPlace = z.strictObject({
  position: Place,
  zoneName: z.string(),
  /** Lifts to put the cask there now; null where nobody has said how the zone is stowed. */
  lifts: z.int().nullable(),
  why: z.array(z.string()),
});
export type SuggestedPlace = z.infer<typeof SuggestedPlace>;

/** A cask of a list, where one walks past it. */
export const WalkStop = z.strictObject({
  caskId: Id,
  caskCode: z.string(),
  /** Null for a cask that stands nowhere by the book. */
  place: z.strictObject({ store: z.string(), zone: z.string(), position: Place }).nullable(),
  /** Lifts to reach it; null where nobody has said how the zone is stowed. */
  lifts: z.int().nullable(),
});
export type WalkStop = z.infer<typeof WalkStop>;

export const VatView = z.strictObject({ vat: Vat, origins: Origins });
export type VatView = z.infer<typeof VatView>;

/** The desk's first page: what the stock is and what is due. */
export const Overview = z.strictObject({
  casksFilled: z.int(),
  casksEmpty: z.int(),
  stock: LiquidFigures.omit({ strengthPercentVol: true }),
  byStore: z.array(
    z.strictObject({
      storeId: Id,
      name: z.string(),
      casks: z.int(),
      bulkLitresAt20C: z.number(),
      litresPureAlcohol: z.number(),
    }),
  ),
  byAgeYears: z.array(
    z.strictObject({ fromYears: z.int(), casks: z.int(), litresPureAlcohol: z.number() }),
  ),
  suspicions: z.array(
    z.strictObject({
      caskId: Id,
      caskCode: z.string(),
      suspicion: z.string(),
      lastGaugedAt: z.string(),
    }),
  ),
  longestUngauged: z.array(
    z.strictObject({ caskId: Id, caskCode: z.string(), lastGaugedAt: z.string() }),
  ),
  openStocktakes: z.int(),
  heldActs: z.int(),
  journalEntries: z.int(),
});
export type Overview = z.infer<typeof Overview>;

export const placesApi = {
  overview: endpoint({
    method: 'GET',
    path: '/api/overview',
    summary: 'The stock at a glance and what is due',
    access: 'read',
    response: Overview,
  }),
  stores: endpoint({
    method: 'GET',
    path: '/api/stores',
    summary: 'Stores with their zones and what lies in them',
    access: 'read',
    response: z.strictObject({ rows: z.array(StoreView) }),
  }),
  map: endpoint({
    method: 'GET',
    path: '/api/zones/:id/map',
    summary: 'A zone’s positions with their casks, or one of them',
    access: 'read',
    params: ById,
    query: z.strictObject({ positionId: Id.optional() }),
    response: z.strictObject({ zone: Zone, cells: z.array(MapCell) }),
  }),
  positions: endpoint({
    method: 'GET',
    path: '/api/positions',
    summary: 'Rack positions in walking order',
    access: 'read',
    query: z.strictObject({
      ...PageQuery,
      zoneId: Id.optional(),
      storeId: Id.optional(),
      onlyFree: z.stringbool().optional(),
      search: z.string().max(40).optional(),
    }),
    response: pageOf(Position),
  }),
  suggest: endpoint({
    method: 'GET',
    path: '/api/place-suggestions',
    summary: 'Places for a cask: room, size, shifting, company, climate, the way there',
    access: 'read',
    query: z.strictObject({
      caskId: Id,
      /** The vat it is about to be filled from, which says its parcel and owner. */
      vatId: Id.optional(),
      /** Where to look; left out means where the cask stands, or the vat. */
      storeId: Id.optional(),
      /** The place one comes from; left out means the cask's own. */
      fromId: Id.optional(),
      climate: z.enum(CLIMATE_WISHES).optional(),
      limit: z.coerce.number().int().min(1).max(50).default(4),
    }),
    response: z.strictObject({ rows: z.array(SuggestedPlace) }),
  }),
  walk: endpoint({
    method: 'POST',
    path: '/api/walking-order',
    summary: 'Casks in the order one walks past them',
    access: 'read',
    body: z.strictObject({ caskIds: z.array(Id).min(1).max(5000) }),
    response: z.strictObject({ stops: z.array(WalkStop) }),
  }),
  accounts: endpoint({
    method: 'GET',
    path: '/api/accounts',
    summary: 'Accounts that hold stock',
    access: 'read',
    response: z.strictObject({ rows: z.array(Account) }),
  }),
  vats: endpoint({
    method: 'GET',
    path: '/api/vats',
    summary: 'Vats and receivers with what they hold',
    access: 'read',
    response: z.strictObject({ rows: z.array(VatView) }),
  }),
  vat: endpoint({
    method: 'GET',
    path: '/api/vats/:id',
    summary: 'One vat',
    access: 'read',
    params: ById,
    response: VatView,
  }),
};
