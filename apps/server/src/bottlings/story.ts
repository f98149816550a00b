import { Injectable } from '@nestjs/common';
import type { BottlingRun, StillRun } from '@rundlet/contracts';
import { harvestSharesOfRun, type Shares, type StepsBefore } from '@rundlet/domain';
import { BOTTLING_FACTS, type BottlingFact, type BottlingStory } from '@rundlet/statements';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { OriginsOf } from '../lineage/origins.ts';
import { kindOf, nameOfRun, portionsOf, waysOf, type Behind } from './ways.ts';

const YEAR_MS = 365.25 * 86_400_000;

/** All that could be told of a bottling run, by shares of its ethanol. */
@Injectable()
export class Stories {
  constructor(
    private readonly reader: Reader,
    private readonly records: Records,
    private readonly origins: OriginsOf,
  ) {}

  /** `told`: the facts that will be told, between whose steps the ways lead. */
  async of(
    run: BottlingRun,
    told: readonly BottlingFact[] = BOTTLING_FACTS,
  ): Promise<BottlingStory> {
    const origins = await this.origins.lots(run.lotShares);
    const plots = await this.records.byId(
      'plot',
      origins.plots.map((p) => p.id),
    );
    const lots = await this.records.byId('spirit-lot', Object.keys(run.lotShares));
    const runShares = new Map<string, number>();
    for (const [lotId, share] of Object.entries(run.lotShares))
      for (const input of lots.get(lotId)?.inputs ?? [])
        add(runShares, input.stillRunId, share * input.share);
    const stillRuns = await this.records.byId('still-run', [...runShares.keys()]);
    const fillings = await this.records.byId(
      'filling',
      run.fillings.map((f) => f.fillingId),
    );
    const kinds = new Map<string, number>();
    const years: number[] = [];
    const behind = await this.behind(lots, stillRuns);
    for (const { fillingId, ethanolShare } of run.fillings) {
      const filling = fillings.get(fillingId);
      if (!filling) continue;
      add(kinds, kindOf(filling), ethanolShare);
      const left = Date.parse(filling.emptiedAt ?? run.at);
      years.push(Math.floor((left - Date.parse(filling.filledAt)) / YEAR_MS));
    }
    const shares = {
      'still-runs': byName(
        [...runShares].map(([id, share]) => [nameOfRun(stillRuns.get(id)) ?? id, share]),
      ),
      'cask-kinds': byName([...kinds]),
    };
    const names = (of: readonly { name: string }[]) => of.map(({ name }) => name);
    return {
      plots: origins.plots.map(({ name, share }) => ({ name, share })),
      varieties: byName(
        origins.plots.map((p) => {
          const plot = plots.get(p.id);
          return [plot ? `${plot.crop}, ${plot.variety}` : p.name, p.share];
        }),
      ),
      harvests: origins.harvests.map(({ code, share }) => ({ name: code, share })),
      ...shares,
      ways: waysOf(
        portionsOf(run, fillings, behind),
        {
          plots: origins.plots.map(({ id }) => id),
          harvests: origins.harvests.map(({ id }) => id),
          'still-runs': names(shares['still-runs']),
          'cask-kinds': names(shares['cask-kinds']),
        },
        told,
      ),
      years: years.length > 0 ? { youngest: Math.min(...years), oldest: Math.max(...years) } : null,
      'store-climate': await this.climate([...fillings.values()]),
    };
  }

  private async behind(
    lots: Behind['lots'],
    stillRuns: ReadonlyMap<string, StillRun>,
  ): Promise<Behind> {
    const ferments = await this.records.byId(
      'ferment',
      [...stillRuns.values()].flatMap(({ inputs }) => inputs.map((input) => input.fermentId)),
    );
    const harvests = await this.records.byId(
      'harvest-lot',
      [...ferments.values()].flatMap(({ inputs }) => inputs.map((input) => input.harvestLotId)),
    );
    const known = { ferment: ferments, 'harvest-lot': harvests };
    const before: StepsBefore = {
      need: async (kind, id) => {
        const record = known[kind].get(id);
        if (!record)
          throw new Error(`There is no ${kind} ${id}, though a later step was made of it.`);
        return record as never;
      },
    };
    const harvestShares = new Map<string, Shares>();
    for (const still of stillRuns.values())
      harvestShares.set(still.id, await harvestSharesOfRun(before, still));
    return {
      lots,
      stillRuns,
      harvestShares,
      plotOfHarvest: new Map([...harvests.values()].map(({ id, plotId }) => [id, plotId])),
    };
  }

  /** Means of what the loggers of the stores read while the casks lay there. */
  private async climate(
    fillings: readonly { zoneId: string | null; filledAt: string; emptiedAt: string | null }[],
  ): Promise<BottlingStory['store-climate']> {
    const spans = new Map<string, { from: string; to: string }>();
    for (const { zoneId, filledAt, emptiedAt } of fillings) {
      if (!zoneId) continue;
      const span = spans.get(zoneId);
      const to = emptiedAt ?? '9999';
      spans.set(zoneId, {
        from: span && span.from < filledAt ? span.from : filledAt,
        to: span && span.to > to ? span.to : to,
      });
    }
    const zones = await this.records.byId('zone', [...spans.keys()]);
    const told: BottlingStory['store-climate'] = [];
    for (const [zoneId, { from, to }] of spans) {
      const mean = await this.reader.one<{ t: number | null; h: number | null }>(
        sql`SELECT AVG("temperatureC") AS "t", AVG("relativeHumidityPercent") AS "h" FROM "climate_reading" WHERE "zoneId" = ${zoneId} AND "at" >= ${from} AND "at" <= ${to}`,
      );
      if (mean?.t == null || mean.h === null) continue;
      told.push({
        name: zones.get(zoneId)?.name ?? zoneId,
        meanTemperatureC: Math.round(mean.t * 10) / 10,
        meanRelativeHumidityPercent: Math.round(mean.h),
      });
    }
    return told;
  }
}

function add(sums: Map<string, number>, key: string, share: number): void {
  sums.set(key, (sums.get(key) ?? 0) + share);
}

/** Shares of the same name together, largest first. */
function byName(shares: readonly (readonly [string, number])[]): { name: string; share: number }[] {
  const sums = new Map<string, number>();
  for (const [name, share] of shares) add(sums, name, share);
  return [...sums]
    .map(([name, share]) => ({ name, share }))
    .sort((a, b) => b.share - a.share || (a.name < b.name ? -1 : 1));
}
