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
      return {
        ...stocktake,
        open: stocktake.status === 'open' || stocktake.status === 'reconciled',
        held,
        ...expected(held ? index : null, zoneIds, rows),
      };
    }
    return known && index
      ? { ...fromDevice(known), ...expected(index, known.zoneIds, []) }
      : undefined;
  }, [view.data, known, index]);
  return { scope, error: scope ? null : view.error };
}

const fromDevice = ({ id, code, title, blind }: Known) => ({
  id,
  code,
  title,
  blind,
  open: true,
  held: true,
});

function expected(
  index: AisleIndex | null,
  zoneIds: readonly string[],
  rows: readonly string[],
): Pick<CountScope, 'expectedAt' | 'expectedIds'> {
  const expectedAt = new Map<string, AisleCask[]>();
  const expectedIds = new Set<string>();
  for (const cask of index?.snapshot.casks ?? []) {
    const position = cask.positionId ? index?.positionById.get(cask.positionId) : undefined;
    if (!position) continue;
    if (zoneIds.length > 0 && !zoneIds.includes(position.zoneId)) continue;
    if (rows.length > 0 && !rows.includes(position.row)) continue;
    expectedIds.add(cask.id);
    expectedAt.set(position.id, [...(expectedAt.get(position.id) ?? []), cask]);
  }
  return { expectedAt, expectedIds };
}
