import type { ClosedLine } from '@rundlet/contracts';
import { linesOfMonth } from '../account/closing.ts';
import { monthAfter } from '../account/months.ts';
import { DomainError } from '../errors.ts';
import type { JournalStore } from '../journal/ports.ts';
import { GENESIS_HASH } from '../journal/seal.ts';
import { handler } from './handler.ts';

interface Closed {
  readonly lines: ClosedLine[];
  readonly journalSeq: number;
  readonly journalHash: string;
}

/** The alcohol account's own acts. A close names the journal as it stood, so it needs that as well as the state. */
export function accountActs(journal: JournalStore) {
  return {
    'account.close-month': handler<'account.close-month', Closed>({
      async decide({ body: { month }, happenedAt }, { state, receivedAt }) {
        const refuse = (why: string, details: object = {}): never => {
          throw new DomainError('month-not-closable', why, { month, ...details }, '/body/month');
        };
        if (month >= happenedAt.slice(0, 7) || month >= receivedAt.slice(0, 7))
          refuse(`${month} is not over yet. A month can be closed from the first of the next on.`);
        const lock = await state.get('account-lock', 'account');
        if (lock && month <= lock.through)
          refuse(`${month} is closed already; the account is closed through ${lock.through}.`, {
            through: lock.through,
          });
        const next = lock ? monthAfter(lock.through) : month;
        if (month !== next)
          refuse(`Months are closed in turn: ${next} comes before ${month}.`, { next });
        const lines = await linesOfMonth(state.records, month);
        const last = await journal.last();
        return { lines, journalSeq: last?.seq ?? 0, journalHash: last?.hash ?? GENESIS_HASH };
      },
      async fold({ body: { month } }, closed, { state, at, actorId }) {
        await state.put('month-close', { id: month, closedAt: at, closedBy: actorId, ...closed });
        await state.put('account-lock', { id: 'account', through: month });
      },
    }),
  };
}
