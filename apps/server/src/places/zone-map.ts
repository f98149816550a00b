import { Injectable } from '@nestjs/common';
import type { Cask, Filling, MapCell, Zone } from '@rundlet/contracts';
import { ageDays, litresPureAlcoholOfMg } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { yearlyLossPercent } from '../casks/cask-card.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Clock } from '../platform/clock.ts';

const DAYS_PER_YEAR = 365.25;

/** A zone's positions, each with the casks standing in it. */
@Injectable()
export class ZoneMap {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly clock: Clock,
  ) {}

  /** @throws NotFound */
  async of(zoneId: string): Promise<{ zone: Zone; cells: MapCell[] }> {
    const zone = await this.records.need('zone', zoneId);
    const positions = await this.records.where(
      'position',
      sql`"zoneId" = ${zoneId}`,
      sql`"walkOrder", "id"`,
    );
    const casks = await this.casksByPosition(zoneId);
    return {
      zone,
      cells: positions.map((position) => ({ position, casks: casks.get(position.id) ?? [] })),
    };
  }

  private async casksByPosition(zoneId: string): Promise<Map<string, MapCell['casks']>> {
    // Loss the gauges have shown, from the account's own lines: samples and top-ups are not in it.
    const rows = await this.reader.all<{ cask: string; filling: string | null; lostMg: number }>(
      sql`SELECT c."record" AS "cask", f."record" AS "filling", -COALESCE(g."mg", 0) AS "lostMg"
          FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId"
          LEFT JOIN (SELECT p."fillingId", SUM(p."ethanolMg") AS "mg" FROM "posting" p JOIN "filling" i ON i."id" = p."fillingId"
                     WHERE i."zoneId" = ${zoneId} AND p."cause" = 'gauge-difference' GROUP BY p."fillingId") g ON g."fillingId" = f."id"
          WHERE c."zoneId" = ${zoneId} ORDER BY c."code"`,
    );
    const byPosition = new Map<string, MapCell['casks']>();
    for (const row of rows) {
      const cask = JSON.parse(row.cask) as Cask;
      if (cask.positionId === null) continue;
      const filling = row.filling === null ? null : (JSON.parse(row.filling) as Filling);
      const here = byPosition.get(cask.positionId) ?? [];
      here.push(this.dotFor(cask, filling, row.lostMg));
      byPosition.set(cask.positionId, here);
    }
    return byPosition;
  }

  private dotFor(cask: Cask, filling: Filling | null, lostMg: number): MapCell['casks'][number] {
    const { id, code, status, condition } = cask;
    return {
      id,
      code,
      status,
      condition,
      ageYears: filling && ageDays(filling, this.clock.instant()) / DAYS_PER_YEAR,
      strengthPercentVol: filling?.figures.strengthPercentVol ?? null,
      lossPercentPerYear:
        filling &&
        yearlyLossPercent(
          litresPureAlcoholOfMg(lostMg),
          filling.fillFigures.litresPureAlcohol,
          (Date.parse(filling.lastGaugedAt) - Date.parse(filling.filledAt)) / 86_400_000,
        ),
      suspicion: filling?.suspicion ?? null,
    };
  }
}
