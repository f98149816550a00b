import { Inject, Injectable } from '@nestjs/common';
import { ACT_ROLE, type Act, type AnyAct } from '@rundlet/contracts';
import {
  attachmentsOf,
  DomainError,
  rehearseAct,
  releaseHeld,
  submitAct,
  type ForecastPort,
  type SubmitContext,
  type Submitted,
} from '@rundlet/domain';
import { v7 as uuid } from 'uuid';
import { JournalRows } from '../database/journal-rows.ts';
import { Reader } from '../database/reader.ts';
import { isUniqueViolation, type Rows } from '../database/rows.ts';
import { StateStore } from '../database/state-store.ts';
import { UnitOfWork } from '../database/unit-of-work.ts';
import { includesRole, type Actor } from '../platform/actor.ts';
import { Clock } from '../platform/clock.ts';
import { Forbidden } from '../platform/refusals.ts';
import { AttachmentFiles } from './attachment-files.ts';
import { FORECAST } from './forecast.port.ts';
import { sha256Hex } from './sha256.ts';

interface Waiting {
  readonly act: AnyAct;
  readonly by: Actor;
  readonly done: (submitted: Submitted) => void;
  readonly failed: (error: unknown) => void;
}
type Outcome = { readonly submitted: Submitted } | { readonly error: unknown };

/** Whose name stands at entries that nobody made. */
const PROGRAM = 'the program';

/** Acts that reach the disk together; more would make the first of them wait for the last. */
const MOST_TOGETHER = 250;

/**
 * The way into the journal. Acts that arrive while others are being written are written together in one transaction, in
 * the order they came: bringing a transaction safely to the disk takes milliseconds, deciding an act much less.
 */
@Injectable()
export class ActDoor {
  #waiting: Waiting[] = [];
  #isWriting = false;

  constructor(
    private readonly work: UnitOfWork,
    private readonly reader: Reader,
    private readonly clock: Clock,
    @Inject(FORECAST) private readonly forecast: ForecastPort,
    private readonly attachments: AttachmentFiles,
  ) {}

  /** Decide one act and, unless it is refused, write it. @throws DomainError, Forbidden */
  async submit(act: AnyAct, by: Actor): Promise<Submitted> {
    requireRoleFor(act, by);
    return new Promise((done, failed) => {
      this.#waiting.push({ act, by, done, failed });
      if (!this.#isWriting) void this.#writeWaiting();
    });
  }

  /** What the act would come to; nothing is written and nobody waits. @throws DomainError, Forbidden */
  async rehearse(act: Act, by: Actor): Promise<Record<string, unknown>> {
    requireRoleFor(act, by);
    return rehearseAct(act, this.context(this.reader, by));
  }

  /** Ports bound to these rows. State and journal keep their changes to themselves until they are flushed. */
  context(rows: Rows, by: Actor): SubmitContext & { records: StateStore; journal: JournalRows } {
    return {
      ...this.about(by),
      records: new StateStore(rows),
      journal: new JournalRows(rows),
    };
  }

  /** The journal names no attachment that is not here: held or applied, an act waits for its bytes. @throws DomainError */
  private requireBytes(act: AnyAct): void {
    for (const [i, attachment] of attachmentsOf(act).entries())
      if (!this.attachments.has(attachment))
        throw new DomainError(
          'attachment-missing',
          `The file “${attachment.name}” has not been handed in. Send its bytes first, then the entry again.`,
          { sha256: attachment.sha256 },
          `/body/attachments/${String(i)}`,
        );
  }

  private about(by: Actor) {
    const { forecast } = this;
    return { actorId: by.id, receivedAt: this.clock.instant(), forecast, sha256Hex };
  }

  async #writeWaiting(): Promise<void> {
    this.#isWriting = true;
    while (this.#waiting.length > 0) await this.#write(this.#waiting.splice(0, MOST_TOGETHER));
    this.#isWriting = false;
  }

  async #write(together: readonly Waiting[]): Promise<void> {
    try {
      const outcomes = await this.#inOneTransaction(together);
      for (const [i, { done, failed }] of together.entries()) {
        const outcome = outcomes[i];
        if (outcome && 'submitted' in outcome) done(outcome.submitted);
        else failed(outcome?.error);
      }
    } catch (error) {
      // Nothing of the transaction was kept. One act among many may have been the cause: each gets a try alone.
      if (together.length > 1) for (const one of together) await this.#write([one]);
      else together[0]?.failed(isUniqueViolation(error) ? TAKEN : error);
    }
  }

  #inOneTransaction(together: readonly Waiting[]): Promise<Outcome[]> {
    return this.work.write(async (tx) => {
      const records = new StateStore(tx);
      const journal = new JournalRows(tx);
      const outcomes: Outcome[] = [];
      for (const { act, by } of together)
        try {
          this.requireBytes(act);
          const context = { ...this.about(by), records, journal };
          const submitted = await submitAct(withDevice(act, by), context);
          outcomes.push({ submitted });
          if (submitted.status === 'applied')
            await releaseHeld(submitted.entry, { ...context, actorId: PROGRAM }, uuid);
        } catch (error) {
          // A refused act has changed nothing; those beside it go on.
          outcomes.push({ error });
        }
      await records.flush(tx);
      await journal.flush(tx);
      return outcomes;
    }, 'journal');
  }
}

const TAKEN = new DomainError(
  'code-taken',
  'Somebody has just given this code to something else. Choose another.',
);

function requireRoleFor(act: AnyAct, by: Actor): void {
  const needed = ACT_ROLE[act.kind];
  if (!includesRole(by.roles, needed))
    throw new Forbidden(
      `An act of the kind ${act.kind} needs the role "${needed}" or one that includes it.`,
    );
}

/** An act sent with a device's token was made on that device, whatever else it says. */
const withDevice = (act: AnyAct, by: Actor): AnyAct =>
  by.kind === 'device' ? { ...act, deviceId: by.id } : act;
