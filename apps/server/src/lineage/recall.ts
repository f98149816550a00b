import { Injectable } from '@nestjs/common';
import type { AnswerOf, api, BottlingRun, RecallLine } from '@rundlet/contracts';
import { litresPureAlcoholOfMg, spreadOf, type LiquidEntry } from '@rundlet/domain';
import sql, { join, type Sql } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';

export type RecallKind = 'plot' | 'harvest-lot' | 'ferment' | 'still-run' | 'spirit-lot';
type Recalled = AnswerOf<typeof api.lineage.recall>;

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
  async from(kind: RecallKind, id: string): Promise<Recalled> {
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
        bulkLitresOfIt: 0,
        positionCode: held.positionCode,
      };
      line.share += held.wholeMg > 0 ? mg / held.wholeMg : 0;
      line.bulkLitresOfIt = line.share * held.bulk;
      line.litresPureAlcoholOfIt += litresPureAlcoholOfMg(mg);
      lines.set(held.vesselId, line);
    }
    return recalled([...lines.values()], await this.bottlingsOf(shareOfLot), []);
  }

  /**
   * From one filling of a cask to wherever its liquid has gone, entry by entry: spirit lots cannot tell it from that of the
   * cask beside it.
   * @throws NotFound
   */
  async fromFilling(id: string): Promise<Recalled> {
    await this.records.need('filling', id);
    const spread = await spreadOf(id, {
      entriesOf: (subject, from) => this.entriesOf(subject, from),
      vat: (vatId) => this.records.find('vat', vatId),
      filling: (fillingId) => this.records.find('filling', fillingId),
    });
    const idsOf = (kind: string) =>
      [...spread.held.keys()]
        .filter((key) => key.startsWith(`${kind}:`))
        .map((key) => key.slice(kind.length + 1));
    const fillings = await this.records.get('filling', idsOf('filling'));
    const casks = await this.records.byId(
      'cask',
      fillings.map((filling) => filling.caskId),
    );
    const positions = await this.records.byId(
      'position',
      [...casks.values()].flatMap((cask) => cask.positionId ?? []),
    );
    const line = (
      key: string,
      bulk: number,
      vessel: Omit<
        RecallLine,
        'share' | 'bulkLitresAt20C' | 'bulkLitresOfIt' | 'litresPureAlcoholOfIt'
      >,
    ): RecallLine => {
      const { mg = 0, wholeMg = 1 } = spread.held.get(key) ?? {};
      return {
        ...vessel,
        share: mg / wholeMg,
        bulkLitresAt20C: bulk,
        bulkLitresOfIt: (bulk * mg) / wholeMg,
        litresPureAlcoholOfIt: litresPureAlcoholOfMg(mg),
      };
    };
    const rows = [
      ...fillings.map((filling) =>
        line(`filling:${filling.id}`, filling.figures.bulkLitresAt20C, {
          vesselKind: 'cask',
          vesselId: filling.caskId,
          code: filling.caskCode,
          fillingId: filling.id,
          positionCode: positions.get(casks.get(filling.caskId)?.positionId ?? '')?.code ?? null,
        }),
      ),
      ...(await this.records.get('vat', idsOf('vat'))).map((vat) =>
        line(`vat:${vat.id}`, vat.figures.bulkLitresAt20C, {
          vesselKind: 'vat',
          vesselId: vat.id,
          code: vat.code,
          fillingId: null,
          positionCode: null,
        }),
      ),
    ];
    const bottled = spread.left.filter(({ entry }) => entry.kind === 'bottling.record');
    const runs = await this.records.byId(
      'bottling-run',
      bottled.map(({ entry }) => String(entry.body['id'])),
    );
    return recalled(
      rows,
      bottled.flatMap(({ entry, share, mg }) => {
        const run = runs.get(String(entry.body['id']));
        return run ? [bottlingLine(run, share, litresPureAlcoholOfMg(mg))] : [];
      }),
      spread.left
        .filter(({ entry }) => entry.kind === 'vat.deliver')
        .map(({ entry, share, mg }) => ({
          at: entry.happenedAt,
          to: String(entry.body['to']),
          share,
          litresPureAlcoholOfIt: litresPureAlcoholOfMg(mg),
        })),
    );
  }

  private async entriesOf(subject: string, fromSeq: number): Promise<LiquidEntry[]> {
    const rows = await this.reader.all<
      Omit<LiquidEntry, 'body' | 'effects'> & { body: string; effects: string | null }
    >(
      sql`SELECT e."seq", e."kind", e."happenedAt", e."body", x."effects" FROM "journal_subject" j
          CROSS JOIN "journal_entry" e LEFT JOIN "entry_effect" x ON x."entryId" = e."id"
          WHERE e."seq" = j."seq" AND j."subject" = ${subject} AND j."seq" >= ${fromSeq} ORDER BY j."seq"`,
    );
    return rows.map((row) => ({
      ...row,
      body: JSON.parse(row.body) as LiquidEntry['body'],
      effects: JSON.parse(row.effects ?? '[]') as LiquidEntry['effects'],
    }));
  }

  private async bottlingsOf(
    shareOfLot: ReadonlyMap<string, number>,
  ): Promise<Recalled['bottlings']> {
    const lines: Recalled['bottlings'] = [];
    const lots = [...shareOfLot.keys()];
    const seen = new Set<string>();
    for (let from = 0; from < lots.length; from += 500)
      for (const run of await this.records.where(
        'bottling-run',
        sql`"id" IN (SELECT "ownerId" FROM "bottling_run_lot" WHERE "value" IN (${join(lots.slice(from, from + 500))}))`,
      )) {
        if (seen.has(run.id)) continue;
        seen.add(run.id);
        let share = 0;
        for (const lot in run.lotShares)
          share += (run.lotShares[lot] ?? 0) * (shareOfLot.get(lot) ?? 0);
        if (share > 0) lines.push(bottlingLine(run, share, share * run.figures.litresPureAlcohol));
      }
    return lines;
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

  /** A cross join keeps SQLite to the order written: from the lots to what holds them, not through every filling there is. */
  private async heldOf(lotIds: readonly string[]): Promise<Held[]> {
    const held: Held[] = [];
    for (let from = 0; from < lotIds.length; from += 500) {
      const lots = join(lotIds.slice(from, from + 500));
      held.push(
        ...(await this.reader.all<Held>(
          sql`SELECT 'cask' AS "vesselKind", f."caskId" AS "vesselId", f."id" AS "fillingId", f."caskCode" AS "code", l."value" AS "lotId", l."amount" AS "mg", f."ethanolMg" AS "wholeMg", f."bulkLitresAt20C" AS "bulk", p."code" AS "positionCode"
              FROM "filling_lot" l CROSS JOIN "filling" f CROSS JOIN "cask" c LEFT JOIN "position" p ON p."id" = c."positionId"
              WHERE f."id" = l."ownerId" AND c."id" = f."caskId" AND l."value" IN (${lots}) AND f."status" = 'maturing'`,
        )),
        ...(await this.reader.all<Held>(
          sql`SELECT 'vat' AS "vesselKind", v."id" AS "vesselId", NULL AS "fillingId", v."code" AS "code", l."value" AS "lotId", l."amount" AS "mg", v."ethanolMg" AS "wholeMg", v."bulkLitresAt20C" AS "bulk", NULL AS "positionCode"
              FROM "vat_lot" l JOIN "vat" v ON v."id" = l."ownerId" WHERE l."value" IN (${lots})`,
        )),
      );
    }
    return held;
  }
}

function recalled(
  lines: readonly RecallLine[],
  bottlings: Recalled['bottlings'],
  delivered: Recalled['delivered'],
): Recalled {
  const rows = lines
    .filter((line) => line.share > 0)
    .sort((a, b) =>
      a.vesselKind === b.vesselKind
        ? a.code < b.code
          ? -1
          : 1
        : a.vesselKind < b.vesselKind
          ? -1
          : 1,
    );
  return {
    rows,
    bottlings,
    delivered,
    litresPureAlcohol: rows.reduce((sum, row) => sum + row.litresPureAlcoholOfIt, 0),
    casks: rows.filter((row) => row.vesselKind === 'cask').length,
  };
}

const bottlingLine = (
  { id, code, name, bottles }: BottlingRun,
  share: number,
  litresPureAlcoholOfIt: number,
): Recalled['bottlings'][number] => ({
  runId: id,
  code,
  name,
  bottles,
  share,
  litresPureAlcoholOfIt,
});
