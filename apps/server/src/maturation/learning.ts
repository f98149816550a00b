import {
  Injectable,
  type OnApplicationBootstrap,
  type OnApplicationShutdown,
  type OnModuleInit,
} from '@nestjs/common';
import type { AnswerOf, api } from '@rundlet/contracts';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Jobs } from '../jobs/jobs.ts';
import { Clock } from '../platform/clock.ts';
import { Log } from '../platform/log.ts';
import {
  keepCalibration,
  latestCalibration,
  latestCalibrationId,
  PRIORS_ID,
  type NewCalibration,
} from './calibration-rows.ts';

const JOB = 'calibrate';
const LIMIT_SECONDS = 1800;
/** Who starts the work when nobody asked for it. */
const BY_ITSELF = 'rundlet';
/** After the last of a round of gauges, so that a round is learnt from once. */
const QUIET_MS = 120_000;
/** New gauges that are worth learning from again: so many, and this share of those known. */
const LEAST_NEW = 25;
const SHARE_NEW = 0.05;

/** The estate's calibration: which one is in force, making a new one, when to. */
@Injectable()
export class Learning implements OnModuleInit, OnApplicationBootstrap, OnApplicationShutdown {
  #timer: NodeJS.Timeout | null = null;
  #current: string | null = null;
  readonly #listeners: (() => void)[] = [];

  constructor(
    private readonly jobs: Jobs,
    private readonly reader: Reader,
    private readonly work: UnitOfWork,
    private readonly clock: Clock,
    private readonly log: Log,
  ) {}

  onModuleInit(): void {
    this.jobs.define<object, NewCalibration>({
      kind: JOB,
      worker: 'maturation',
      task: 'learn',
      timeLimitSeconds: () => LIMIT_SECONDS,
      finish: (made) => this.#keep(made),
    });
  }

  /** What came in before the last stop, or at a process that was killed, is not forgotten. */
  onApplicationBootstrap(): void {
    this.notice();
  }

  onApplicationShutdown(): void {
    if (this.#timer) clearTimeout(this.#timer);
  }

  async view(): Promise<AnswerOf<typeof api.maturation.calibration>> {
    const latest = await latestCalibration(this.reader);
    return {
      id: latest?.id ?? PRIORS_ID,
      madeAt: latest?.madeAt ?? null,
      fillings: latest?.fillings ?? 0,
      regauges: latest?.regauges ?? 0,
      jobId: await this.jobs.underway(JOB),
      population: { ...latest?.population },
    };
  }

  /** One at a time: who asks while it runs gets the run that is on. */
  async start(by: string): Promise<string> {
    return this.jobs.startOne(JOB, {}, by);
  }

  /** Looked up each time: another process may have learnt. */
  async currentId(): Promise<string> {
    const id = await latestCalibrationId(this.reader);
    const isNews = this.#current !== null && this.#current !== id;
    this.#current = id;
    if (isNews) for (const tell of this.#listeners) tell();
    return id;
  }

  async hasLearnt(): Promise<boolean> {
    return (await this.currentId()) !== PRIORS_ID;
  }

  /** Calls back whenever something new has been learnt. */
  onLearnt(tell: () => void): void {
    this.#listeners.push(tell);
  }

  /** A gauge has come in: once it is quiet again, see whether there is enough to learn from. */
  notice(): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#learnIfWorthIt(), QUIET_MS).unref();
  }

  async #learnIfWorthIt(): Promise<void> {
    try {
      const latest = await latestCalibration(this.reader);
      const news = await this.reader.one<{ count: number }>(
        sql`SELECT COUNT(*) AS "count" FROM "journal_entry" WHERE "kind" IN ('cask.gauge', 'gauge.judge') AND "seq" > ${latest?.seq ?? 0}`,
      );
      if (Number(news?.count ?? 0) >= Math.max(LEAST_NEW, SHARE_NEW * (latest?.regauges ?? 0)))
        await this.start(BY_ITSELF);
    } catch (error) {
      this.log.failure('learning from the new gauges could not be started', error);
    }
  }

  async #keep(
    made: NewCalibration,
  ): Promise<{ calibrationId: string; fillings: number; regauges: number }> {
    const id = await this.work.write((tx) => keepCalibration(tx, made, this.clock.instant()));
    await this.currentId();
    return { calibrationId: id, fillings: made.fillings, regauges: made.regauges };
  }
}
