import type { Place, Stow } from '@rundlet/contracts';
import { isInTheWay, liftKey, rowsOf, SIDES, spotsOf, type Spot, type Stand } from './row.ts';

/** What a place is weighed by. Null where nobody knows, as on a device without a network: then it isn't weighed. */
export interface Stowed {
  /** The parcel: the spirit lot that gave most of its alcohol. */
  readonly lotId: string | null;
  readonly accountId: string | null;
  readonly nominalLitres: number;
  readonly woodSpecies: string;
}
export interface PutawayWish {
  readonly cask: Stowed;
  readonly stands: readonly Stand<Stowed>[];
  /** How each zone is stowed; null where nobody has said. Places of other zones are not weighed. */
  readonly stowOf: ReadonlyMap<string, Stow | null>;
  /** Where it stands now, which is not offered. */
  readonly standsAt: string | null;
  /** Walking order of the place one comes from. */
  readonly from: number | null;
  /** Zones as far as their climate is wished for: 0 the best, 1 the worst. Others are left out. */
  readonly climateRank?: ReadonlyMap<string, number> | undefined;
  readonly limit: number;
}
export interface SuggestedPosition {
  readonly position: Place;
  /** Lifts to put the cask there now; null where the stow of the zone is not described. */
  readonly lifts: number | null;
  /** What speaks for the place and against it. */
  readonly why: readonly string[];
}

/**
 * What each thing counts, in lifts. A lift now is certain. A free place shut off costs a lift when it is used. Of two casks
 * of different parcels either may be wanted first, so lying before another costs half a lift; casks of one parcel go together.
 * The rest are a keeper's judgement: common practice, no published source.
 */
const COST = {
  lift: 1,
  stowNotDescribed: 1,
  placeShutOff: 1,
  caskBehind: 0.5,
  awayFromParcel: 1,
  otherSize: 1,
  otherOwner: 0.5,
  otherWood: 0.25,
  /** The far end of the store. */
  walk: 0.2,
  /** The zone that has least of the climate wished for. */
  climate: 6,
};

/** Places for a cask, the best first, of each row its best before any row's second. */
export function suggestPositions(wish: PutawayWish): SuggestedPosition[] {
  const rows = rowsOf(
    wish.stands.filter(
      ({ position: { zoneId } }) =>
        wish.stowOf.has(zoneId) && (wish.climateRank?.has(zoneId) ?? true),
    ),
  );
  const parcels = new Set(wish.stands.flatMap(({ casks }) => casks.map(({ lotId }) => lotId)));
  const parcelIsInStore = wish.cask.lotId !== null && parcels.has(wish.cask.lotId);
  const parcelsKnown = [...parcels].some((lotId) => lotId !== null);
  const span = Math.max(1, ...[...rows.values()].map((row) => farthest(row, wish.from ?? 0)));
  const byRow = [...rows.values()].map((row) =>
    weighRow(row, wish, { parcelIsInStore, parcelsKnown, span }).sort((a, b) => a.cost - b.cost),
  );
  return byRow
    .flatMap((weighed) => weighed.slice(0, wish.limit).map((one, turn) => ({ ...one, turn })))
    .sort((a, b) => a.turn - b.turn || a.cost - b.cost)
    .slice(0, wish.limit)
    .map(({ position, lifts, why }) => ({ position, lifts, why }));
}

type Weighed = SuggestedPosition & { readonly cost: number };
interface Whole {
  readonly parcelIsInStore: boolean;
  readonly parcelsKnown: boolean;
  readonly span: number;
}
const steps = (place: Place, from: number): number => {
  const along = place.walkOrder - from;
  // Of two as near, the one further along: a run of fills goes on along the rack.
  return along < 0 ? 0.5 - along : along;
};
const farthest = (row: readonly Stand[], from: number): number =>
  row.reduce((far, { position }) => Math.max(far, steps(position, from)), 0);

function weighRow(row: readonly Stand<Stowed>[], wish: PutawayWish, whole: Whole): Weighed[] {
  const { cask, stowOf } = wish;
  const zoneId = row[0]?.position.zoneId ?? '';
  const stow = stowOf.get(zoneId) ?? null;
  if (stow?.largestCaskLitres != null && cask.nominalLitres > stow.largestCaskLitres) return [];
  const company = companyOf(row, cask, stow, whole);
  const access = stow === null || stow.kind === 'racked' ? null : accessOf(row, stow, cask);
  return row
    .filter(
      ({ position, casks }) => casks.length < position.capacity && position.id !== wish.standsAt,
    )
    .flatMap(({ position }) => {
      if (access && !access.isCarried(position)) return [];
      const lifts = access ? access.lifts(position) : stow && 0;
      const behind = access?.behind(position) ?? { casks: 0, places: 0 };
      const walk = steps(position, wish.from ?? 0) / whole.span;
      return [
        {
          position,
          lifts,
          why: [
            lifts === null
              ? 'how the zone is stowed is not described'
              : lifts === 0
                ? 'nothing to shift'
                : `${count(lifts, 'lift')} to put it there`,
            ...(behind.casks > 0
              ? [
                  `will lie before ${count(behind.casks, 'cask')}${whole.parcelsKnown ? ' of other parcels' : ''}`,
                ]
              : []),
            ...(behind.places > 0 ? [`shuts off ${count(behind.places, 'free place')}`] : []),
            ...company.why,
          ],
          cost:
            (lifts === null ? COST.stowNotDescribed : COST.lift * lifts) +
            COST.caskBehind * behind.casks +
            COST.placeShutOff * behind.places +
            company.cost +
            COST.walk * walk +
            COST.climate * (wish.climateRank?.get(zoneId) ?? 0),
        },
      ];
    });
}

/** Who lies in the row already. */
function companyOf(
  row: readonly Stand<Stowed>[],
  cask: Stowed,
  stow: Stow | null,
  { parcelIsInStore }: Whole,
): { cost: number; why: string[] } {
  const here = row.flatMap(({ casks }) => casks);
  const of = (is: (other: Stowed) => boolean): number => here.filter(is).length;
  const parcel = cask.lotId === null ? 0 : of(({ lotId }) => lotId === cask.lotId);
  const sameOwner = cask.accountId === null || of((o) => o.accountId === cask.accountId) > 0;
  const sameWood = of(({ woodSpecies }) => woodSpecies === cask.woodSpecies) > 0;
  // Rails lie level on casks of one size only. Common practice, no published source.
  const otherSize =
    stow?.kind === 'dunnage' ? of((o) => o.nominalLitres !== cask.nominalLitres) : 0;
  const owned = of(({ accountId }) => accountId !== null);
  return {
    cost:
      (parcelIsInStore && parcel === 0 ? COST.awayFromParcel : 0) +
      (otherSize > 0 ? COST.otherSize : 0) +
      (owned > 0 && !sameOwner ? COST.otherOwner : 0) +
      (here.length > 0 && !sameWood ? COST.otherWood : 0),
    why: [
      ...(parcel > 0 ? [`with ${count(parcel, 'cask')} of its parcel in the row`] : []),
      ...(otherSize > 0 ? ['casks of another size in the row'] : []),
      ...(owned === 0 || cask.accountId === null
        ? []
        : [sameOwner ? 'its owner’s casks in the row' : 'other owners’ casks only in the row']),
      ...(here.length === 0 ? ['an empty row'] : sameWood ? ['the same wood in the row'] : []),
    ],
  };
}

interface Spotted {
  readonly stand: Stand<Stowed>;
  readonly spot: Spot;
}

/** What a cask would rest on, and what it would keep from the mouth, in a stow where casks lie before casks. */
function accessOf(
  row: readonly Stand<Stowed>[],
  stow: Exclude<Stow, { kind: 'racked' }>,
  cask: Stowed,
) {
  const { kind } = stow;
  const sides = SIDES[stow.mouth];
  const spotOf = spotsOf(row);
  const all = row.map((stand): Spotted => ({ stand, spot: spotOf(stand.position) }));
  const isFull = ({ stand }: Spotted): boolean =>
    kind === 'dunnage' ? stand.casks.length >= stand.position.capacity : stand.casks.length > 0;
  const pallets = new Map<string, boolean>();
  for (const one of all) {
    const key = liftKey(kind, one.spot);
    pallets.set(key, (pallets.get(key) ?? false) || isFull(one));
  }
  const standing = all.filter(({ stand }) => stand.casks.length > 0);
  /** What is in the way of each place by each side, as things stand: counted as `liftsOf` counts it. */
  const ways = new Map(
    all.map((to) => [
      to.stand.position.id,
      {
        to,
        sides: sides.map((side) => {
          const inWay = standing.filter(({ spot }) => isInTheWay(kind, side, spot, to.spot));
          const keys = new Set(inWay.map(({ spot }) => liftKey(kind, spot)));
          const casks = inWay.reduce((sum, { stand }) => sum + stand.casks.length, 0);
          return { side, keys, lifts: kind === 'palletised' ? keys.size : casks };
        }),
      },
    ]),
  );
  const least = (counts: readonly number[]): number => Math.min(...counts);
  return {
    lifts: (place: Place): number =>
      least(ways.get(place.id)?.sides.map(({ lifts }) => lifts) ?? [0]),
    /** Every tier below it, where there are places, carries something already. */
    isCarried(place: Place): boolean {
      const { bay, level, slot } = spotOf(place);
      return all
        .filter(
          ({ spot }) =>
            spot.bay === bay && spot.level < level && (kind === 'palletised' || spot.slot === slot),
        )
        .every(({ spot }) => pallets.get(liftKey(kind, spot)));
    },
    /** Casks of other parcels, and free places, that would be a lift farther from the mouth. */
    behind(place: Place): { casks: number; places: number } {
      const here = spotOf(place);
      const key = liftKey(kind, here);
      const behind = { casks: 0, places: 0 };
      for (const { to, sides: wayBySide } of ways.values()) {
        const before = least(wayBySide.map(({ lifts }) => lifts));
        const after = least(
          wayBySide.map(({ side, keys, lifts }) => {
            const more =
              isInTheWay(kind, side, here, to.spot) && (kind === 'dunnage' || !keys.has(key));
            return lifts + (more ? 1 : 0);
          }),
        );
        if (after === before) continue;
        const { casks, position } = to.stand;
        behind.casks += casks.filter(({ lotId }) => lotId === null || lotId !== cask.lotId).length;
        if (before === 0 && casks.length < position.capacity) behind.places += 1;
      }
      return behind;
    },
  };
}

const count = (n: number, what: string): string => `${String(n)} ${what}${n === 1 ? '' : 's'}`;
