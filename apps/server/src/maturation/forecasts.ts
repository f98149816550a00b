import { Injectable, type OnApplicationBootstrap } from '@nestjs/common';
import type {
  AnswerOf,
  FillingForecast,
  InputOf,
  OwnerForecast,
  StockForecast,
  StockScope,
  WhatIfAnswer,
  WoodContact,
  api,
} from '@rundlet/contracts';
import type { ForecastPort } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import type { TaskProgress } from '../jobs/protocol.ts';
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
/** Who asks how far long work is waits this long for its end. */
const SOON_MS = 700;

/** Forecasts, asked of two threads: single casks are not to wait behind whole stores. */
@Injectable()
export class Forecasts implements ForecastPort, OnApplicationBootstrap {
  readonly #quick: WorkerThread<MaturationTasks>;
  readonly #thorough: WorkerThread<MaturationTasks>;
  #givenUp = 0;
  readonly #answers = new Map<string, Work<unknown>>();

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

  async stock(query: StockQuery): Promise<StockForecast> {
    const { answer } = await this.#stockWork(query);
    return answer;
  }

  /** The forecast if it is there within a moment, else how far it is; asking again joins the same work. */
  async stockSoon(query: StockQuery): Promise<Soon<StockForecast>> {
    return soonOf(await this.#stockWork(query));
  }

  async stockWhatIf(
    body: InputOf<typeof api.maturation.stockWhatIf>['body'],
  ): Promise<AnswerOf<typeof api.maturation.stockWhatIf>> {
    await this.#requireScope(body.scope);
    const wish = { today: this.today(), ...body };
    return soonOf(
      await this.#once(['what-if', wish], (onProgress) =>
        this.#thorough.run('stockWhatIf', wish, { timeLimitSeconds: STOCK_SECONDS, onProgress }),
      ),
    );
  }

  async holdings(accountId: string): Promise<OwnerForecast> {
    const { answer } = await this.#holdingsWork(accountId);
    return answer;
  }

  async holdingsSoon(accountId: string): Promise<Soon<OwnerForecast>> {
    return soonOf(await this.#holdingsWork(accountId));
  }

  async #holdingsWork(accountId: string): Promise<Work<OwnerForecast>> {
    await this.#requireScope({ accountId });
    const wish = { today: this.today(), accountId };
    return this.#once(['holdings', wish], (onProgress) =>
      this.#thorough.run('holdings', wish, { timeLimitSeconds: STOCK_SECONDS, onProgress }),
    );
  }

  async #stockWork(query: StockQuery): Promise<Work<StockForecast>> {
    const { years, floorPercentVol, ...scope } = query;
    await this.#requireScope(scope);
    const wish = { today: this.today(), years, floorPercentVol, scope };
    return this.#once(['stock', wish], (onProgress) =>
      this.#thorough.run('stock', wish, { timeLimitSeconds: STOCK_SECONDS, onProgress }),
    );
  }

  async #requireScope({ storeId, zoneId, accountId, spiritLotId }: StockScope): Promise<void> {
    for (const [kind, id] of [
      ['store', storeId],
      ['zone', zoneId],
      ['account', accountId],
      ['spirit-lot', spiritLotId],
    ] as const)
      if (id !== undefined) await this.records.need(kind, id);
  }

  async round(query: RoundQuery): Promise<Round> {
    const { answer } = await this.#roundWork(query);
    return answer;
  }

  async roundSoon(query: RoundQuery): Promise<Soon<Round>> {
    return soonOf(await this.#roundWork(query));
  }

  async #roundWork({ storeId, planId, count }: RoundQuery): Promise<Work<Round>> {
    if (storeId !== undefined) await this.records.need('store', storeId);
    const plan = planId === undefined ? null : await this.records.need('blend-plan', planId);
    const blend = plan && {
      blendOn: plan.blendOn,
      fillingIds: plan.parts.map((part) => part.fillingId),
    };
    const wish = { today: this.today(), storeId, blend, count };
    return this.#once(['round', wish], async (onProgress) => ({
      rows: await this.#thorough.run('round', wish, {
        timeLimitSeconds: STOCK_SECONDS,
        onProgress,
      }),
    }));
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
  async #once<T>(
    question: unknown,
    work: (onProgress: (progress: TaskProgress) => void) => Promise<T>,
  ): Promise<Work<T>> {
    const { seq } = (await this.reader.one<{ seq: number }>(
      sql`SELECT COALESCE(MAX("seq"), 0) AS "seq" FROM "journal_entry"`,
    )) ?? { seq: 0 };
    const key = JSON.stringify([question, seq, await this.learning.currentId()]);
    const known = this.#answers.get(key) as Work<T> | undefined;
    if (known) return known;
    const now: { progress: TaskProgress | null } = { progress: null };
    const answer = work((progress) => {
      now.progress = progress;
    });
    const begun: Work<T> = { answer, now };
    this.#answers.set(key, begun);
    answer.catch(() => this.#answers.delete(key));
    const [oldest] = this.#answers.keys();
    if (this.#answers.size > ANSWERS_KEPT && oldest !== undefined) this.#answers.delete(oldest);
    return begun;
  }
}

/** Work that was begun: its answer to come, and how far it is. */
interface Work<T> {
  readonly answer: Promise<T>;
  readonly now: { readonly progress: TaskProgress | null };
}
interface Soon<T> {
  answer: T | null;
  share: number | null;
  casks: number | null;
}

async function soonOf<T>({ answer, now }: Work<T>): Promise<Soon<T>> {
  const outcome = await inTime(answer, SOON_MS);
  if (outcome.status === 'done') return { answer: outcome.value, share: 1, casks: null };
  if (outcome.status === 'failed') throw outcome.error;
  const casks = now.progress?.detail['casks'];
  return {
    answer: null,
    share: now.progress?.share ?? null,
    casks: typeof casks === 'number' ? casks : null,
  };
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
