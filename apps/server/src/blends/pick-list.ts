/** Where the casks of a plan stand, and the rows they stand in. */
import { Injectable } from '@nestjs/common';
import type { BlendPlanRecord, Filling, PickRow, PickStop, Position } from '@rundlet/contracts';
import { rowKey } from '@rundlet/domain';
import sql, { join } from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { lineOf } from './blend-candidates.ts';
import { byWalk } from './blend-choice.ts';

@Injectable()
export class PickLists {
  constructor(private readonly records: Records) {}

  /** In walking order. */
  async of(plan: BlendPlanRecord): Promise<{ picks: PickStop[]; rows: PickRow[] }> {
    const fillings = await this.records.byId(
      'filling',
      plan.parts.map((p) => p.fillingId),
    );
    const casks = await this.records.byId(
      'cask',
      plan.parts.map((p) => p.caskId),
    );
    const positions = await this.records.byId(
      'position',
      [...casks.values()].flatMap((cask) => cask.positionId ?? []),
    );
    const standing = [...positions.values()];
    const stores = await this.records.byId(
      'store',
      standing.map((p) => p.storeId),
    );
    const zones = await this.records.byId(
      'zone',
      standing.map((p) => p.zoneId),
    );
    const placeOf = ({ storeId, zoneId, row, bay, level, slot }: Position) => ({
      store: stores.get(storeId)?.name ?? '',
      zone: zones.get(zoneId)?.name ?? '',
      row,
      bay,
      level,
      slot,
    });
    const drawn = new Set(plan.drawn.map((d) => d.fillingId));
    const out = new Map(plan.out?.map(({ fillingId, at }) => [fillingId, at]));
    const picks = plan.parts.map((part): PickStop => {
      const position = positions.get(casks.get(part.caskId)?.positionId ?? '');
      const filling = fillings.get(part.fillingId);
      const isDrawn = drawn.has(part.fillingId);
      return {
        fillingId: part.fillingId,
        caskId: part.caskId,
        caskCode: part.caskCode,
        positionId: position?.id ?? null,
        positionCode: position?.code ?? null,
        place: position ? placeOf(position) : null,
        walkOrder: position?.walkOrder ?? null,
        takeLitresAt20C: part.bulkLitresAt20C,
        strengthPercentVol: part.strengthPercentVol,
        whole: part.whole,
        outAt: out.get(part.fillingId) ?? null,
        drawn: isDrawn,
        obstacle: isDrawn ? null : obstacleOf(filling, plan),
        line: filling ? lineOf({ filling }) : '',
      };
    });
    return { picks: picks.sort(byWalk), rows: await this.#rows(standing, placeOf) };
  }

  async #rows(
    standing: readonly Position[],
    placeOf: (position: Position) => NonNullable<PickStop['place']>,
  ): Promise<PickRow[]> {
    const rows = new Map<string, Position>();
    for (const position of [...standing].sort((a, b) => a.walkOrder - b.walkOrder)) {
      const key = rowKey(position);
      if (!rows.has(key)) rows.set(key, position);
    }
    const zoneIds = [...new Set([...rows.values()].map(({ zoneId }) => zoneId))];
    if (zoneIds.length === 0) return [];
    const all = await this.records.where('position', sql`"zoneId" IN (${join(zoneIds)})`);
    return [...rows.values()].map((first) => {
      const { store, zone } = placeOf(first);
      const { zoneId, row } = first;
      return {
        zoneId,
        store,
        zone,
        row,
        positions: all
          .filter((position) => position.zoneId === zoneId && position.row === row)
          .map(({ id, bay, level, slot, occupied }) => ({
            id,
            bay,
            level,
            slot,
            occupied: occupied > 0,
          })),
      };
    });
  }
}

/** Why a cask can't be drawn for the plan as things stand. */
function obstacleOf(filling: Filling | undefined, plan: BlendPlanRecord): string | null {
  if (!filling) return 'no longer on record';
  if (plan.status === 'cancelled' || plan.status === 'vatted') return null;
  if (filling.status === 'emptied') return 'emptied since the plan was made';
  if (filling.holdReason !== null) return `on hold: ${filling.holdReason}`;
  if (filling.reservedByPlanId !== null && filling.reservedByPlanId !== plan.id)
    return 'reserved for another plan';
  return null;
}
