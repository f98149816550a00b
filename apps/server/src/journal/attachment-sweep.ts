import {
  Injectable,
  type BeforeApplicationShutdown,
  type OnApplicationBootstrap,
} from '@nestjs/common';
import type { ActKind, JournalEntry } from '@rundlet/contracts';
import { attachmentsOf } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import type { Rows } from '../database/rows.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { Clock } from '../platform/clock.ts';
import { Log } from '../platform/log.ts';
import { AttachmentFiles } from './attachment-files.ts';
import { numberInForce } from './dated-setting.ts';

/** Setting: days that bytes wait for an act that names them, 0 for ever. */
const WAIT_DAYS = { key: 'attachments.wait-days', most: 36_500, otherwise: 90 };
/** An outbox sends the act at once after its bytes; when it may be cut off between the two, it is back within days. */
const LEAST_DAYS = 7;
const LOOK_EVERY_MS = 24 * 3_600_000;
const DAY_MS = 86_400_000;
const CHUNK = 500;

/** Takes away bytes that were handed in and that no entry of the journal has come to name. */
@Injectable()
export class AttachmentSweep implements OnApplicationBootstrap, BeforeApplicationShutdown {
  #timer: NodeJS.Timeout | null = null;
  #last: Promise<unknown> = Promise.resolve();
  /** What entries name up to this one. Entries stay, so each is looked at once. */
  readonly #named = new Set<string>();
  #through = 0;

  constructor(
    private readonly files: AttachmentFiles,
    private readonly work: UnitOfWork,
    private readonly reader: Reader,
    private readonly clock: Clock,
    private readonly log: Log,
  ) {}

  onApplicationBootstrap(): void {
    this.#timer = setInterval(() => {
      this.#last = this.sweep().catch((error: unknown) => {
        this.log.failure('attachments that no entry names could not be swept', error);
      });
    }, LOOK_EVERY_MS);
    this.#timer.unref();
  }

  async beforeApplicationShutdown(): Promise<void> {
    if (this.#timer) clearInterval(this.#timer);
    await this.#last;
  }

  /** @returns how many files were taken away */
  async sweep(): Promise<number> {
    const days = await numberInForce(this.reader, this.clock.instant().slice(0, 10), WAIT_DAYS);
    if (days === 0) return 0;
    const before = new Date(this.clock.ago(Math.max(days, LEAST_DAYS) * DAY_MS));
    const isOld = async () =>
      (await this.files.untouchedSince(before)).some(({ sha256 }) => !this.#named.has(sha256));
    if (!(await isOld())) return 0;
    await this.#readOn(this.reader);
    if (!(await isOld())) return 0;
    // In the journal's turn no act is on its way from having its bytes looked for to being written.
    return this.work.write(async (tx) => {
      await this.#readOn(tx);
      return this.files.removeUntouched(before, (sha256) => !this.#named.has(sha256));
    }, 'journal');
  }

  async #readOn(rows: Rows): Promise<void> {
    for (;;) {
      const entries = await rows.all<{ seq: number; kind: ActKind; body: string }>(
        sql`SELECT "seq", "kind", "body" FROM "journal_entry" WHERE "seq" > ${this.#through} AND "body" LIKE '%"sha256":%' ORDER BY "seq" LIMIT ${CHUNK}`,
      );
      for (const { seq, kind, body } of entries) {
        const entry = { kind, body: JSON.parse(body) as JournalEntry['body'] };
        for (const { sha256 } of attachmentsOf(entry)) this.#named.add(sha256);
        this.#through = seq;
      }
      if (entries.length < CHUNK) return;
    }
  }
}
