import { Inject, Injectable } from '@nestjs/common';
import type { AisleSnapshot, Cask, Filling } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { placeOf } from '../places/place.ts';
import { Clock } from '../platform/clock.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { openSpareLabels } from './spare-labels.ts';

/** A phone takes the newest along; older spares are told by the server. */
const MOST_SPARES = 2000;

/** What a phone takes along to work in a store without a network. */
@Injectable()
export class Aisle {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** @throws NotFound */
  async of(storeId: string): Promise<AisleSnapshot> {
    const madeAt = this.clock.instant();
    const inStore = sql`"storeId" = ${storeId}`;
    const store = await this.records.need('store', storeId);
    const zones = await this.records.where('zone', inStore, sql`"code"`);
    const positions = await this.records.where('position', inStore, sql`"walkOrder", "id"`);
    const rows = await this.reader.all<{ cask: string; filling: string | null }>(
      sql`SELECT c."record" AS "cask", f."record" AS "filling" FROM "cask" c LEFT JOIN "filling" f ON f."id" = c."fillingId"
          WHERE c."storeId" = ${storeId} ORDER BY c."code"`,
    );
    const stocktakes = await this.runningCounts(storeId);
    return {
      madeAt,
      store,
      zones,
      positions: positions.map(placeOf),
      casks: rows.map(({ cask, filling }) =>
        lineOf(
          JSON.parse(cask) as Cask,
          filling === null ? null : (JSON.parse(filling) as Filling),
        ),
      ),
      stocktakes,
      companyPrefix: this.settings.companyPrefix,
      spareCodes: (await openSpareLabels(this.reader, MOST_SPARES)).map(({ code }) => code),
    };
  }

  private async runningCounts(storeId: string): Promise<AisleSnapshot['stocktakes']> {
    const running = await this.records.where(
      'stocktake',
      sql`"status" IN ('open', 'reconciled')`,
      sql`"openedAt"`,
    );
    const here = running.filter(({ scope }) => scope.storeId === storeId);
    return Promise.all(
      here.map(async ({ id, code, title, blind, scope }) => {
        const lines = await this.records.where('stocktake-line', sql`"stocktakeId" = ${id}`);
        const isPart = scope.sample !== undefined || scope.accountIds !== undefined;
        const expected = lines.filter((line) => line.expectedPositionId !== null);
        return {
          id,
          code,
          title,
          blind,
          zoneIds: scope.zoneIds,
          rows: scope.rows,
          caskIds: isPart ? expected.flatMap((line) => line.caskId ?? []) : null,
          recount: lines
            .filter((line) => line.recountAskedAt !== null && line.recounts === 0)
            .map((line) => ({
              key: line.caskId ?? line.code,
              positionId: line.foundPositionId ?? line.expectedPositionId,
            })),
        };
      }),
    );
  }
}

function lineOf(cask: Cask, filling: Filling | null): AisleSnapshot['casks'][number] {
  return {
    id: cask.id,
    code: cask.code,
    giai: cask.giai,
    aliases: cask.aliases,
    kind: cask.cooperage.kind,
    nominalLitres: cask.cooperage.nominalLitres,
    woodSpecies: cask.cooperage.woodSpecies,
    positionId: cask.positionId,
    status: cask.status,
    condition: cask.condition,
    geometry: cask.geometry,
    tareKg: cask.tareKg,
    filledAt: filling?.filledAt ?? null,
    fillNumber: filling?.fillNumber ?? null,
    figures: filling?.figures ?? null,
    lastGaugedAt: filling?.lastGaugedAt ?? null,
    lastEntryId: cask.lastEntryId,
  };
}
