import { Injectable } from '@nestjs/common';
import type { WalkStop } from '@rundlet/contracts';
import { liftsOf, rowKey, rowsOf, toShift, type Stand } from '@rundlet/domain';
import sql, { join } from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { placeOf } from './place.ts';

/** Casks of any list in the order one walks past them, with what reaching each costs. */
@Injectable()
export class Walking {
  constructor(private readonly records: Records) {}

  async past(caskIds: readonly string[]): Promise<WalkStop[]> {
    const casks = await this.records.get('cask', caskIds);
    const positions = await this.records.byId(
      'position',
      casks.flatMap(({ positionId }) => positionId ?? []),
    );
    const standing = [...positions.values()];
    const zones = await this.records.byId(
      'zone',
      standing.map(({ zoneId }) => zoneId),
    );
    const stores = await this.records.byId(
      'store',
      standing.map(({ storeId }) => storeId),
    );
    const rows = await this.#rows(
      [...zones.values()].flatMap(({ id, stow }) =>
        stow === null || stow.kind === 'racked' ? [] : id,
      ),
    );
    const stops = casks.map(({ id, code, positionId }) => {
      const position = positions.get(positionId ?? '');
      const zone = position && zones.get(position.zoneId);
      const store = position && stores.get(position.storeId);
      return {
        order: [store?.code ?? '\uffff', position?.walkOrder ?? 0, code] as const,
        stop: {
          caskId: id,
          caskCode: code,
          place:
            position && zone && store
              ? { store: store.name, zone: zone.name, position: placeOf(position) }
              : null,
          lifts:
            position && zone?.stow
              ? liftsOf(zone.stow, toShift(zone.stow, rows.get(rowKey(position)) ?? [], position))
              : null,
        },
      };
    });
    return stops
      .sort(
        ({ order: a }, { order: b }) => compare(a[0], b[0]) || a[1] - b[1] || compare(a[2], b[2]),
      )
      .map(({ stop }) => stop);
  }

  async #rows(zoneIds: readonly string[]): Promise<Map<string, Stand[]>> {
    if (zoneIds.length === 0) return new Map();
    const positions = await this.records.where('position', sql`"zoneId" IN (${join(zoneIds)})`);
    return rowsOf(
      positions.map((position) => ({
        position: placeOf(position),
        casks: Array.from({ length: position.occupied }),
      })),
    );
  }
}

const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
