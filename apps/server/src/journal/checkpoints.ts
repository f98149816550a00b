import {
  Inject,
  Injectable,
  type BeforeApplicationShutdown,
  type OnApplicationBootstrap,
} from '@nestjs/common';
import type { Checkpoint } from '@rundlet/contracts';
import { signStatement, type Checkpoint as Statement } from '@rundlet/statements';
import sql from 'sql-template-tag';
import { v7 as uuid } from 'uuid';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { PROGRAM, type Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { Log } from '../platform/log.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';
import { GENESIS_HASH } from '@rundlet/domain';
import { ActDoor } from './act-door.ts';
import { numberInForce } from './dated-setting.ts';
import { SigningKeys } from './signing-keys.ts';

/** Setting: hours between checkpoints, 0 for none by itself. */
const EVERY_HOURS = { key: 'journal.checkpoint-hours', most: 8784, otherwise: 24 };
const LOOK_EVERY_MS = 10 * 60_000;
const HOUR_MS = 3_600_000;

/** Signs how the journal stands: when asked, and by itself while the journal grows. */
@Injectable()
export class Checkpoints implements OnApplicationBootstrap, BeforeApplicationShutdown {
  #timer: NodeJS.Timeout | null = null;
  #last: Promise<unknown> = Promise.resolve();

  constructor(
    private readonly door: ActDoor,
    private readonly keys: SigningKeys,
    private readonly records: Records,
    private readonly work: UnitOfWork,
    private readonly reader: Reader,
    private readonly clock: Clock,
    private readonly log: Log,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  onApplicationBootstrap(): void {
    this.#timer = setInterval(() => {
      this.#last = this.signIfDue().catch((error: unknown) => {
        this.log.failure('no checkpoint could be signed', error);
      });
    }, LOOK_EVERY_MS);
    this.#timer.unref();
  }

  async beforeApplicationShutdown(): Promise<void> {
    if (this.#timer) clearInterval(this.#timer);
    await this.#last;
  }

  /** Signs over the last entry there is, whoever asks. */
  async sign(by: Actor): Promise<Checkpoint> {
    // The key first: announcing it is an entry the checkpoint is to cover.
    const signer = await this.keys.signer();
    const last = await this.lastEntry();
    const at = this.clock.instant();
    const statement: Statement = {
      says: 'journal-checkpoint',
      estate: this.settings.estateName,
      seq: last?.seq ?? 0,
      hash: last?.hash ?? GENESIS_HASH,
      at,
    };
    const id = uuid();
    await this.door.submit(
      {
        id,
        kind: 'checkpoint.sign',
        happenedAt: at,
        body: { statement: signStatement(statement, signer) },
      },
      by.kind === 'program' ? by : { ...PROGRAM, id: by.id },
    );
    return this.records.need('checkpoint', id);
  }

  /** Signs when the time between checkpoints has passed and there is something new. @returns whether it did */
  signIfDue(): Promise<boolean> {
    return this.work.alone('checkpoint', () => this.#signIfDue());
  }

  async #signIfDue(): Promise<boolean> {
    const hours = await numberInForce(this.reader, this.clock.instant().slice(0, 10), EVERY_HOURS);
    if (hours === 0) return false;
    const [latest] = await this.latest(1);
    const last = await this.lastEntry();
    // The checkpoint is an entry itself; it alone is nothing new.
    if (!last || last.id === latest?.id) return false;
    if (latest && latest.at > this.clock.ago(hours * HOUR_MS)) return false;
    await this.sign(PROGRAM);
    return true;
  }

  latest(count: number): Promise<Checkpoint[]> {
    return this.records
      .page('checkpoint', { column: 'at', direction: 'desc' }, { limit: count })
      .then(({ rows }) => rows);
  }

  private lastEntry(): Promise<{ seq: number; id: string; hash: string } | null> {
    return this.reader.one(
      sql`SELECT "seq", "id", "hash" FROM "journal_entry" ORDER BY "seq" DESC LIMIT 1`,
    );
  }
}
