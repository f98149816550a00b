import { Injectable, type OnApplicationBootstrap } from '@nestjs/common';
import type {
  AnswerOf,
  FillingForecast,
  InputOf,
  StockForecast,
  WhatIfAnswer,
  WoodContact,
  api,
} from '@rundlet/contracts';
import type { ForecastPort } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Threads } from '../jobs/threads.ts';
import { TaskStopped, type WorkerThread } from '../jobs/worker-thread.ts';
import { Clock } from '../platform/clock.ts';
import { Log } from '../platform/log.ts';
import { NotFound, Refusal } from '../platform/refusals.ts';
import type { MaturationTasks } from '../workers/maturation.worker.ts';
import { Learning } from './learning.ts';

type StockQuery = InputOf<typeof api.maturation.stock>['query'];
type RoundQuery = InputOf<typeof api.maturation.regauge>['query'];
type Round = AnswerOf<typeof api.maturation.regauge>;

const FILLING_SECONDS = 30;
const STOCK_SECONDS = 180;
/** A gauge does not wait longer than this for its verdict; it is written without one then. */
const ASSESS_PATIENCE_MS = 5000;
const ANSWERS_KEPT = 40;

/** Forecasts, asked of two threads: single casks are not to wait behind whole stores. */
@Injectable()
export class Forecasts implements ForecastPort, OnApplicationBootstrap {
  readonly #quick: WorkerThread<MaturationTasks>;
  readonly #thorough: WorkerThread<MaturationTasks>;
  #givenUp = 0;
  readonly #answers = new Map<string, Promise<unknown>>();

  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly clock: Clock,
    private readonly log: Log,
    private readonly learning: Learning,
    threads: Threads,
  ) {
    this.#quick = threads.open('maturation');
    this.#thorough = threads.open('maturation');
    learning.onLearnt(() => this.#warmInPeace());
  }

  onApplicationBootstrap(): void {
    this.#warmInPeace();
  }

  async filling(
    caskId: string,
    query: InputOf<typeof api.maturation.filling>['query'],
  ): Promise<FillingForecast> {
    const now = this.clock.instant();
    const { years, floorPercentVol, leastLitres } = query;
    const wish = { today: this.today(), now, years, floorPercentVol, leastLitres };
    return this.#ofCask(caskId, (fillingId) =>
      this.#quick.run('filling', { fillingId, wish }, { timeLimitSeconds: FILLING_SECONDS }),
    );
  }

  async whatIf(
    caskId: string,
    body: InputOf<typeof api.maturation.whatIf>['body'],
  ): Promise<WhatIfAnswer> {
    const wish = { today: this.today(), ...body };
    return this.#ofCask(caskId, (fillingId) =>
      this.#quick.run('whatIf', { fillingId, wish }, { timeLimitSeconds: FILLING_SECONDS }),
    );
  }

  async woodContact(caskId: string, { years }: { years: number }): Promise<WoodContact> {
    const wish = { today: this.today(), years };
    return this.#ofCask(caskId, (fillingId) =>
      this.#quick.run('woodContact', { fillingId, wish }, { timeLimitSeconds: FILLING_SECONDS }),
    );
  }

  async #ofCask<T>(caskId: string, ask: (fillingId: string) => Promise<T | null>): Promise<T> {
    const cask = await this.records.need('cask', caskId);
    if (cask.fillingId === null)
      throw new Refusal(
        409,
        'cask-empty',
        `Cask ${cask.code} holds no spirit; there is nothing to forecast.`,
      );
    const answer = await ask(cask.fillingId);
    if (answer === null) throw new NotFound(`There is no filling ${cask.fillingId}.`);
    return answer;
  }

  async stock({
    storeId,
    zoneId,
    accountId,
    years,
    floorPercentVol,
  }: StockQuery): Promise<StockForecast> {
    for (const [kind, id] of [
      ['store', storeId],
      ['zone', zoneId],
      ['account', accountId],
    ] as const)
      if (id !== undefined) await this.records.need(kind, id);
    const wish = { today: this.today(), years, floorPercentVol, storeId, zoneId, accountId };
    return this.#once(['stock', wish], () =>
      this.#thorough.run('stock', wish, { timeLimitSeconds: STOCK_SECONDS }),
    );
  }

  async round({ storeId, count }: RoundQuery): Promise<Round> {
    if (storeId !== undefined) await this.records.need('store', storeId);
    const wish = { today: this.today(), storeId, count };
    const rows = await this.#once(['round', wish], () =>
      this.#thorough.run('round', wish, { timeLimitSeconds: STOCK_SECONDS }),
    );
    return { rows };
  }

  /** The domain's question when a gauge comes in. A gauge is never kept from the journal for want of a forecast. */
  async assess(gauge: Parameters<ForecastPort['assess']>[0]): ReturnType<ForecastPort['assess']> {
    this.learning.notice();
    // While an earlier one that was given up is still being worked on, waiting for the next would be in vain.
    if (this.#givenUp > 0 || !(await this.learning.hasLearnt())) return null;
    const assessed = this.#quick.run('assess', gauge, { timeLimitSeconds: FILLING_SECONDS });
    const outcome = await inTime(assessed, ASSESS_PATIENCE_MS);
    if (outcome.status === 'done') return outcome.value;
    const tooLate = outcome.status === 'late';
    this.log.failure(
      'a gauge was written without a verdict',
      tooLate ? 'too slow' : outcome.error,
      {
        fillingId: gauge.fillingId,
      },
    );
    if (tooLate) {
      this.#givenUp++;
      void assessed.catch(() => undefined).finally(() => this.#givenUp--);
    }
    return null;
  }

  #warmInPeace(): void {
    this.#warm().catch((error: unknown) => {
      if (!(error instanceof TaskStopped))
        this.log.failure('the forecast could not be made ready', error);
    });
  }

  /** The thread that judges gauges looks up what is known before the first of them comes. */
  async #warm(): Promise<void> {
    if (!(await this.learning.hasLearnt())) return;
    await this.#quick.run('warm', {}, { timeLimitSeconds: STOCK_SECONDS });
  }

  private today(): string {
    return this.clock.instant().slice(0, 10);
  }

  /** The same question about the same state is worked out once, however many ask it. */
  async #once<T>(question: unknown, work: () => Promise<T>): Promise<T> {
    const { seq } = (await this.reader.one<{ seq: number }>(
      sql`SELECT COALESCE(MAX("seq"), 0) AS "seq" FROM "journal_entry"`,
    )) ?? { seq: 0 };
    const key = JSON.stringify([question, seq, await this.learning.currentId()]);
    const known = this.#answers.get(key) as Promise<T> | undefined;
    if (known) return known;
    const answer = work();
    this.#answers.set(key, answer);
    answer.catch(() => this.#answers.delete(key));
    const [oldest] = this.#answers.keys();
    if (this.#answers.size > ANSWERS_KEPT && oldest !== undefined) this.#answers.delete(oldest);
    return answer;
  }
}

type InTime<T> =
  | { readonly status: 'done'; readonly value: T }
  | { readonly status: 'failed'; readonly error: unknown }
  | { readonly status: 'late' };

async function inTime<T>(work: Promise<T>, patienceMs: number): Promise<InTime<T>> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<InTime<T>>((tell) => {
    timer = setTimeout(() => {
      tell({ status: 'late' });
    }, patienceMs);
  });
  const done = work.then(
    (value): InTime<T> => ({ status: 'done', value }),
    (error: unknown): InTime<T> => ({ status: 'failed', error }),
  );
  return Promise.race([done, late]).finally(() => {
    clearTimeout(timer);
  });
}
