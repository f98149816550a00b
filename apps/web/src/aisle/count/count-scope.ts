import { api, type AisleSnapshot } from '@rundlet/contracts';
import { useMemo } from 'react';
import { useAisle } from '../../data/aisle.ts';
import type { AisleCask, AisleIndex } from '../../data/aisle-index.ts';
import { useApi } from '../../data/client.ts';

type Known = AisleSnapshot['stocktakes'][number];

export interface CountScope {
  readonly id: string;
  readonly code: string;
  readonly title: string;
  readonly blind: boolean;
  readonly open: boolean;
  /** Casks this device expects there, by position. */
  readonly expectedAt: ReadonlyMap<string, readonly AisleCask[]>;
  readonly expectedIds: ReadonlySet<string>;
  /** False when the count is of a store this device does not hold. */
  readonly held: boolean;
  /** A sample or one owner's casks: then the counter walks a list. */
  readonly isPart: boolean;
  /** To be counted again, by cask or code, with where it was last seen or belongs. */
  readonly recount: Known['recount'];
}

/** The stock-take from the server, or from the store kept on this device; undefined while neither is at hand. */
export function useCountScope(id: string): { scope: CountScope | undefined; error: unknown } {
  const { index } = useAisle();
  const view = useApi(api.stocktakes.get, { params: { id } });
  const known = index?.snapshot.stocktakes.find((stocktake) => stocktake.id === id);
  const scope = useMemo<CountScope | undefined>(() => {
    const stocktake = view.data?.stocktake;
    if (stocktake) {
      const held = index?.snapshot.store.id === stocktake.scope.storeId;
      const { zoneIds, rows } = stocktake.scope;
      const caskIds = known?.caskIds ?? null;
      return {
        ...stocktake,
        open: stocktake.status === 'open' || stocktake.status === 'reconciled',
        held,
        isPart: stocktake.scope.sample !== undefined || stocktake.scope.accountIds !== undefined,
        recount: known?.recount ?? [],
        ...expected(held ? index : null, { zoneIds, rows, caskIds }),
      };
    }
    return known && index ? { ...fromDevice(known), ...expected(index, known) } : undefined;
  }, [view.data, known, index]);
  return { scope, error: scope ? null : view.error };
}

const fromDevice = ({ id, code, title, blind, caskIds, recount }: Known) => ({
  id,
  code,
  title,
  blind,
  open: true,
  held: true,
  isPart: caskIds !== null,
  recount,
});

function expected(
  index: AisleIndex | null,
  { zoneIds, rows, caskIds }: Pick<Known, 'zoneIds' | 'rows' | 'caskIds'>,
): Pick<CountScope, 'expectedAt' | 'expectedIds'> {
  const expectedAt = new Map<string, AisleCask[]>();
  const expectedIds = new Set<string>();
  const asked = caskIds && new Set(caskIds);
  for (const cask of index?.snapshot.casks ?? []) {
    const position = cask.positionId ? index?.positionById.get(cask.positionId) : undefined;
    if (!position) continue;
    if (asked ? !asked.has(cask.id) : !lies(position, zoneIds, rows)) continue;
    expectedIds.add(cask.id);
    const there = expectedAt.get(position.id);
    if (there) there.push(cask);
    else expectedAt.set(position.id, [cask]);
  }
  return { expectedAt, expectedIds };
}

const lies = (
  position: { zoneId: string; row: string },
  zoneIds: readonly string[],
  rows: readonly string[],
): boolean =>
  (zoneIds.length === 0 || zoneIds.includes(position.zoneId)) &&
  (rows.length === 0 || rows.includes(position.row));
