import { Controller, type OnModuleInit } from '@nestjs/common';
import {
  Act,
  api,
  type ActResult,
  type AnswerOf,
  type InputOf,
  type VerifyReport,
} from '@rundlet/contracts';
import { DomainError, type DomainErrorCode, type Submitted } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { z } from 'zod';
import { ENTRY_COLUMNS, entryOf, type EntryRow } from '../database/journal-rows.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { Jobs, type JobKind } from '../jobs/jobs.ts';
import type { Actor } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { InvalidRequest, toProblem } from '../platform/problem.ts';
import { Forbidden, NotFound } from '../platform/refusals.ts';
import { ActDoor } from './act-door.ts';
import { HeldViews } from './held-views.ts';
import { History } from './history.ts';

const { journal } = api;

const VERIFICATION: JobKind<{ checkpoints: readonly string[] }, VerifyReport> = {
  kind: 'verify-journal',
  worker: 'journal',
  task: 'verify',
  timeLimitSeconds: () => 3600,
  finish: async (report) => report,
};

@Controller()
export class JournalController implements OnModuleInit {
  constructor(
    private readonly door: ActDoor,
    private readonly history: History,
    private readonly records: Records,
    private readonly heldViews: HeldViews,
    private readonly reader: Reader,
    private readonly jobs: Jobs,
  ) {}

  onModuleInit(): void {
    this.jobs.define(VERIFICATION);
  }

  @Serves(journal.submit)
  async submit(
    @Input() { body }: InputOf<typeof journal.submit>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.submit>> {
    return resultOf(body.id, await this.door.submit(body, by));
  }

  @Serves(journal.submitMany)
  async submitMany(
    @Input() { body }: InputOf<typeof journal.submitMany>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.submitMany>> {
    const ids = idsOf(body.acts);
    // All are handed in before the first is waited for: they stay in order and share transactions.
    const results = body.acts.map((sent, i) => this.submitOne(sent, ids[i] ?? '', i, by));
    return { results: await Promise.all(results) };
  }

  @Serves(journal.rehearse)
  async rehearse(
    @Input() { body }: InputOf<typeof journal.rehearse>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.rehearse>> {
    return { outcome: await this.door.rehearse(body, by) };
  }

  @Serves(journal.list)
  list(@Input() { query }: InputOf<typeof journal.list>): Promise<AnswerOf<typeof journal.list>> {
    return this.history.page(query);
  }

  @Serves(journal.entry)
  async entry(
    @Input() { params }: InputOf<typeof journal.entry>,
  ): Promise<AnswerOf<typeof journal.entry>> {
    const row = await this.reader.one<EntryRow>(
      sql`SELECT ${ENTRY_COLUMNS} FROM "journal_entry" WHERE "id" = ${params.id}`,
    );
    if (!row) throw new NotFound(`There is no journal entry ${params.id}.`);
    return entryOf(row);
  }

  @Serves(journal.verify)
  async verify(
    @Input() { body }: InputOf<typeof journal.verify>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.verify>> {
    return { jobId: await this.jobs.start(VERIFICATION.kind, body, by.id) };
  }

  @Serves(journal.held)
  async held(
    @Input() { query }: InputOf<typeof journal.held>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof journal.held>> {
    const page = await this.records.page(
      'held-act',
      { column: 'receivedAt', direction: 'asc' },
      query,
      [sql`"status" = ${query.status}`],
    );
    return { rows: await this.heldViews.of(page.rows, by), next: page.next };
  }

  private async submitOne(sent: unknown, id: string, i: number, by: Actor): Promise<ActResult> {
    const act = Act.safeParse(sent);
    if (!act.success)
      return refused(
        id,
        new InvalidRequest(
          act.error.issues.map(({ path, message }) => ({
            path: ['body', 'acts', i, ...path],
            message,
          })),
        ),
      );
    try {
      return resultOf(id, await this.door.submit(act.data, by));
    } catch (error) {
      // Anything but a refusal may pass: then the device is to send the lot again.
      if (error instanceof DomainError || error instanceof Forbidden) return refused(id, error);
      throw error;
    }
  }
}

function resultOf(id: string, { status, entry, refusal }: Submitted): ActResult {
  const why = status === 'held' ? (refusal ?? storedRefusal(entry.body)) : null;
  return { id, status, entry, problem: why && toProblem(why) };
}

const refused = (id: string, error: unknown): ActResult => ({
  id,
  status: 'refused',
  entry: null,
  problem: toProblem(error),
});

/** Why an act sent before is being held. */
function storedRefusal(body: Readonly<Record<string, unknown>>): DomainError {
  const { code, message } = body['problem'] as { code: DomainErrorCode; message: string };
  return new DomainError(code, message);
}

/** Without its id an act cannot be answered for, so then the whole batch is refused. @throws InvalidRequest */
function idsOf(acts: readonly unknown[]): string[] {
  const WithId = z.looseObject({ id: z.uuid() });
  const parsed = acts.map((act) => WithId.safeParse(act));
  const issues = parsed.flatMap((p, i) =>
    p.success
      ? []
      : p.error.issues.map(({ path, message }) => ({
          path: ['body', 'acts', i, ...path],
          message,
        })),
  );
  if (issues.length > 0) throw new InvalidRequest(issues);
  return parsed.map((p) => p.data?.id ?? '');
}
