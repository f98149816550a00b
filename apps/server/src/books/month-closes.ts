import { Injectable } from '@nestjs/common';
import type { AnswerOf, api, ClosedMonth } from '@rundlet/contracts';
import { monthAfter, monthsBetween } from '@rundlet/domain';
import sql from 'sql-template-tag';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { History } from '../journal/history.ts';
import { Clock } from '../platform/clock.ts';

/** Which months are closed, by whom, and which are to be. */
@Injectable()
export class MonthCloses {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly history: History,
    private readonly clock: Clock,
  ) {}

  async between(from: string, to: string): Promise<ClosedMonth[]> {
    const closes = await this.records.where('month-close', sql`"id" >= ${from} AND "id" <= ${to}`);
    const names = await this.history.namesOfActors(closes.map((close) => close.closedBy));
    return closes.map(({ id, closedAt, closedBy, lastEntryId, journalSeq, journalHash }) => ({
      month: id,
      closedAt,
      closedBy: names.get(closedBy) ?? closedBy,
      entryId: lastEntryId,
      journalSeq,
      journalHash,
    }));
  }

  async state(): Promise<AnswerOf<typeof api.books.state>> {
    const lock = await this.records.find('account-lock', 'account');
    const first = await this.reader.one<{ month: string | null }>(
      sql`SELECT MIN("month") AS "month" FROM "posting"`,
    );
    const held = await this.reader.one<{ count: number }>(
      sql`SELECT COUNT(*) AS "count" FROM "held_act" WHERE "status" = 'open'`,
    );
    const from = lock ? monthAfter(lock.through) : first?.month;
    const lastOver = monthAfter(this.clock.instant().slice(0, 7), -1);
    return {
      closedThrough: lock?.through ?? null,
      lastCloseEntryId: lock?.lastEntryId ?? null,
      toClose: from ? monthsBetween(from, lastOver) : [],
      heldActs: Number(held?.count ?? 0),
    };
  }
}
