import { Injectable } from '@nestjs/common';
import type { RecallLine } from '@rundlet/contracts';
import { litresPureAlcoholOfMg } from '@rundlet/domain';
import sql, { join, type Sql } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

export type RecallKind = 'plot' | 'harvest-lot' | 'ferment' | 'still-run' | 'spirit-lot';

interface Held {
  vesselKind: 'cask' | 'vat';
  vesselId: string;
  fillingId: string | null;
  code: string;
  lotId: string;
  /** Of this lot, and of all lots, in the vessel. */
  mg: number;
  wholeMg: number;
  bulk: number;
  positionCode: string | null;
}

/** From where alcohol comes from to every vessel that holds some of it now. */
@Injectable()
export class Recall {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
  ) {}

  /** @throws NotFound */
  async from(
    kind: RecallKind,
    id: string,
  ): Promise<{ rows: RecallLine[]; litresPureAlcohol: number; casks: number }> {
    await this.records.need(kind, id);
    const shareOfLot = await this.lotsWith(kind, id);
    const lines = new Map<string, RecallLine>();
    for (const held of await this.heldOf([...shareOfLot.keys()])) {
      const mg = held.mg * (shareOfLot.get(held.lotId) ?? 0);
      const line = lines.get(held.vesselId) ?? {
        vesselKind: held.vesselKind,
        vesselId: held.vesselId,
        code: held.code,
        fillingId: held.fillingId,
        share: 0,
        bulkLitresAt20C: held.bulk,
        litresPureAlcoholOfIt: 0,
        positionCode: held.positionCode,
      };
      line.share += mg / held.wholeMg;
      line.litresPureAlcoholOfIt += litresPureAlcoholOfMg(mg);
      lines.set(held.vesselId, line);
    }
    const rows = [...lines.values()].filter((line) => line.share > 0);
    return {
      rows,
      litresPureAlcohol: rows.reduce((sum, row) => sum + row.litresPureAlcoholOfIt, 0),
      casks: rows.filter((row) => row.vesselKind === 'cask').length,
    };
  }

  /** The spirit lots with some of it, and how much of each lot's ethanol it is. */
  private async lotsWith(kind: RecallKind, id: string): Promise<Map<string, number>> {
    if (kind === 'spirit-lot') return new Map([[id, 1]]);
    if (kind === 'plot') {
      const lots = await this.lotsListing(sql`"spirit_lot_plot"`, [id]);
      return new Map(lots.map((lot) => [lot.id, lot.plotShares[id] ?? 0]));
    }
    if (kind === 'harvest-lot') {
      const lots = await this.lotsListing(sql`"spirit_lot_harvest_lot"`, [id]);
      return new Map(lots.map((lot) => [lot.id, lot.harvestShares[id] ?? 0]));
    }
    const shareOfRun = kind === 'still-run' ? new Map([[id, 1]]) : await this.runsWith(id);
    const lots = await this.lotsListing(sql`"spirit_lot_still_run"`, [...shareOfRun.keys()]);
    return new Map(
      lots.map((lot) => [
        lot.id,
        lot.inputs.reduce((sum, i) => sum + i.share * (shareOfRun.get(i.stillRunId) ?? 0), 0),
      ]),
    );
  }

  /** A run's ethanol is shared out by the ethanol each ferment brought to it. */
  private async runsWith(fermentId: string): Promise<Map<string, number>> {
    const runs = await this.records.where(
      'still-run',
      sql`"id" IN (SELECT "ownerId" FROM "still_run_ferment" WHERE "value" = ${fermentId})`,
    );
    const ferments = await this.records.byId(
      'ferment',
      runs.flatMap((run) => run.inputs.map((i) => i.fermentId)),
    );
    return new Map(
      runs.map((run) => {
        const brought = run.inputs.map((i) => ({
          id: i.fermentId,
          ethanol: i.bulkLitresAt20C * (ferments.get(i.fermentId)?.strengthPercentVol ?? 0),
        }));
        const whole = brought.reduce((sum, b) => sum + b.ethanol, 0);
        const own = brought.reduce((sum, b) => sum + (b.id === fermentId ? b.ethanol : 0), 0);
        return [run.id, whole > 0 ? own / whole : 0];
      }),
    );
  }

  private async lotsListing(table: Sql, values: readonly string[]) {
    if (values.length === 0) return [];
    return this.records.where(
      'spirit-lot',
      sql`"id" IN (SELECT "ownerId" FROM ${table} WHERE "value" IN (${join([...values])}))`,
    );
  }

  private async heldOf(lotIds: readonly string[]): Promise<Held[]> {
    const held: Held[] = [];
    for (let from = 0; from < lotIds.length; from += 500) {
      const lots = join(lotIds.slice(from, from + 500));
      held.push(
        ...(await this.reader.all<Held>(
          sql`SELECT 'cask' AS "vesselKind", f."caskId" AS "vesselId", f."id" AS "fillingId", f."caskCode" AS "code", l."value" AS "lotId", l."amount" AS "mg", f."ethanolMg" AS "wholeMg", f."bulkLitresAt20C" AS "bulk", p."code" AS "positionCode"
              FROM "filling_lot" l JOIN "filling" f ON f."id" = l."ownerId" JOIN "cask" c ON c."id" = f."caskId" LEFT JOIN "position" p ON p."id" = c."positionId"
              WHERE l."value" IN (${lots}) AND f."status" = 'maturing' ORDER BY f."caskCode"`,
        )),
        ...(await this.reader.all<Held>(
          sql`SELECT 'vat' AS "vesselKind", v."id" AS "vesselId", NULL AS "fillingId", v."code" AS "code", l."value" AS "lotId", l."amount" AS "mg", v."ethanolMg" AS "wholeMg", v."bulkLitresAt20C" AS "bulk", NULL AS "positionCode"
              FROM "vat_lot" l JOIN "vat" v ON v."id" = l."ownerId" WHERE l."value" IN (${lots}) ORDER BY v."code"`,
        )),
      );
    }
    return held;
  }
}
