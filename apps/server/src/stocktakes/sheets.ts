import { Inject, Injectable } from '@nestjs/common';
import type { Stocktake, StocktakeProgress } from '@rundlet/contracts';
import sql, { join } from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Threads } from '../jobs/threads.ts';
import type { WorkerThread } from '../jobs/worker-thread.ts';
import { Clock } from '../platform/clock.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import type { PaperTasks } from '../workers/papers.worker.ts';
import type { SheetFacts } from './sheet-pdf.ts';
import { StocktakeProgressOf } from './stocktake-progress.ts';
import { StocktakeViews } from './stocktake-views.ts';

/** 4,000 lines take seconds. */
const LIMIT_SECONDS = 120;

/** The sheet on paper, with names for everything. */
@Injectable()
export class Sheets {
  readonly #thread: WorkerThread<PaperTasks>;

  constructor(
    private readonly views: StocktakeViews,
    private readonly progress: StocktakeProgressOf,
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
    threads: Threads,
  ) {
    this.#thread = threads.open<PaperTasks>('papers');
  }

  /** @throws NotFound */
  async pdf(id: string): Promise<{ stocktake: Stocktake; content: Uint8Array }> {
    const { stocktake, tally } = await this.views.one(id);
    const [lines, progress] = await Promise.all([this.views.allLines(id), this.progress.one(id)]);
    const positions = await this.records.byId(
      'position',
      lines.flatMap(({ line }) =>
        [line.expectedPositionId, line.foundPositionId].filter((p) => p !== null),
      ),
    );
    const people = await this.names([
      stocktake.openedBy,
      stocktake.reconciledBy,
      stocktake.signedBy,
    ]);
    const nameOf = (who: string | null) => (who === null ? null : (people.get(who) ?? who));
    const facts: SheetFacts = {
      estateName: this.settings.estateName,
      stocktake,
      tally,
      lines,
      scope: await this.scopeWords(stocktake),
      openedBy: nameOf(stocktake.openedBy) ?? '',
      reconciledBy: nameOf(stocktake.reconciledBy),
      signedBy: nameOf(stocktake.signedBy),
      counters: progress.counters,
      sampleSays: sampleWords(progress.sample),
      places: new Map(
        [...positions].map(([positionId, { row, bay, level, slot }]) => [
          positionId,
          `row ${row}, bay ${bay}, level ${level}, slot ${slot}`,
        ]),
      ),
      printedAt: this.clock.instant(),
    };
    const content = await this.#thread.run('sheet', facts, { timeLimitSeconds: LIMIT_SECONDS });
    return { stocktake, content };
  }

  private async scopeWords({ scope, population }: Stocktake): Promise<string> {
    const [store, zones, accounts] = await Promise.all([
      this.records.find('store', scope.storeId),
      this.records.get('zone', scope.zoneIds),
      this.records.get('account', scope.accountIds ?? []),
    ]);
    return [
      store?.name ?? '',
      zones.map((zone) => zone.name).join(' and '),
      scope.rows.length > 0 ? `rows ${scope.rows.join(', ')}` : '',
      accounts.length > 0 ? `casks of ${accounts.map((a) => a.name).join(' and ')}` : '',
      scope.sample
        ? `${String(scope.sample.casks)} drawn at random of ${String(population)}, seed “${scope.sample.seed}”`
        : '',
    ]
      .filter(Boolean)
      .join(', ');
  }

  private async names(ids: readonly (string | null)[]): Promise<Map<string, string>> {
    const list = join(ids.map((id) => id ?? ''));
    const rows = await this.reader.all<{ id: string; name: string }>(
      sql`SELECT "id", "name" FROM "person" WHERE "id" IN (${list})
          UNION ALL SELECT "id", "label" AS "name" FROM "device_token" WHERE "id" IN (${list})`,
    );
    return new Map(rows.map((row) => [row.id, row.name]));
  }
}

function sampleWords(sample: StocktakeProgress['sample']): string | null {
  if (!sample) return null;
  if (sample.mostWrong === null)
    return `The sample says nothing about the rest yet: ${String(sample.drawn - sample.settled)} of ${String(sample.drawn)} are still to be looked at.`;
  return (
    `${String(sample.wrong)} of ${String(sample.drawn)} drawn were wrong: at ${String(sample.confidence * 100)} % confidence at most ` +
    `${String(sample.mostWrong)} of ${String(sample.population)} casks are not where the book has them (exact hypergeometric bound after Clopper and Pearson).`
  );
}
