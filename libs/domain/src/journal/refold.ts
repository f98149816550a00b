import type { ActKind, ActOf, JournalEntry } from '@rundlet/contracts';
import { actHandlers } from '../acts/handlers.ts';
import type { JournalStore, RecordStore } from './ports.ts';
import { TrackedStore } from './tracked-store.ts';

/** Folding looks at the entry and the state alone; a handler that asked for the journal would be wrong. */
const noJournal = (): never => {
  throw new Error('Folding must not look at the journal.');
};
const NO_JOURNAL: JournalStore = {
  byId: noJournal,
  last: noJournal,
  effectsOf: noJournal,
  reversalOf: noJournal,
  standingAbout: noJournal,
  append: noJournal,
};
const handlerOf = actHandlers(NO_JOURNAL);

/** Fold one entry as it was written: state from body and outcome alone, nothing decided again. */
export async function foldEntry(entry: JournalEntry, records: RecordStore): Promise<TrackedStore> {
  const state = new TrackedStore(records, entry.id);
  const act = {
    id: entry.id,
    kind: entry.kind,
    happenedAt: entry.happenedAt,
    body: entry.body,
  } as unknown as ActOf<ActKind>;
  await handlerOf(entry.kind).fold(act, entry.outcome, {
    state,
    entryId: entry.id,
    at: entry.happenedAt,
    receivedAt: entry.receivedAt,
    actorId: entry.actorId,
  });
  return state;
}
