import type { Act, ActKind, ActOf, AnyAct, JournalEntry } from '@rundlet/contracts';
import { requireNotFuture } from '../acts/checks.ts';
import { actHandlers } from '../acts/handlers.ts';
import { DomainError } from '../errors.ts';
import type { Effect, ForecastPort, JournalStore, RecordStore } from './ports.ts';
import { asStored, canonicalJson, entryHash, GENESIS_HASH, type Sha256Hex } from './seal.ts';
import { StagedRecords } from './staged-records.ts';
import { TrackedStore } from './tracked-store.ts';

export interface SubmitContext {
  readonly actorId: string;
  readonly receivedAt: string;
  readonly journal: JournalStore;
  readonly records: RecordStore;
  readonly forecast: ForecastPort;
  readonly sha256Hex?: Sha256Hex;
}

export interface Submitted {
  readonly status: 'applied' | 'already-applied' | 'held';
  readonly entry: JournalEntry;
  /** Why it is held. */
  readonly refusal: DomainError | null;
}

/**
 * Do one act: decide it, fold it and append it, within whatever transaction the ports are bound to. The same act sent
 * again changes nothing and answers with the entry it made. An act that waited in a device's outbox and is refused
 * is kept as a held act instead of being lost.
 * @throws DomainError when the act is refused; then nothing has been changed
 */
export async function submitAct(act: AnyAct, context: SubmitContext): Promise<Submitted> {
  const earlier = await context.journal.byId(act.id);
  if (earlier)
    return {
      status: (await isStillHeld(earlier, context)) ? 'held' : 'already-applied',
      entry: requireSame(earlier, act),
      refusal: null,
    };
  try {
    requireNotFuture(act.happenedAt, context.receivedAt);
    return { status: 'applied', entry: await write(act, context), refusal: null };
  } catch (error) {
    if (!(error instanceof DomainError) || act.offline !== true) throw error;
    const hold: ActOf<'act.hold'> = {
      id: act.id,
      kind: 'act.hold',
      happenedAt: act.happenedAt,
      deviceId: act.deviceId,
      body: {
        act: asStored(act) as unknown as Record<string, unknown>,
        problem: { code: error.code, message: error.message, details: asStored(error.details) },
      },
    };
    return { status: 'held', entry: await write(hold, context), refusal: error };
  }
}

/** What the act would come to, without doing it. @throws DomainError when it would be refused */
export async function rehearseAct(
  act: Act,
  context: SubmitContext,
): Promise<Record<string, unknown>> {
  requireNotFuture(act.happenedAt, context.receivedAt);
  const { outcome } = await decideAndFold(act, context, new StagedRecords(context.records));
  return outcome;
}

/** An entry that is decided and folded, but has no place in the chain yet. */
export type Unsealed = Omit<JournalEntry, 'seq' | 'previousHash' | 'hash'>;
export interface Prepared {
  readonly entry: Unsealed;
  readonly effects: readonly Effect[];
}

/** Decides and folds the act: the records show what it changed, and the entry waits to be sealed. */
export async function prepareAct(
  act: ActOf<ActKind>,
  context: Omit<SubmitContext, 'sha256Hex'>,
): Promise<Prepared> {
  requireNotFuture(act.happenedAt, context.receivedAt);
  return prepare(act, context);
}

async function prepare(act: ActOf<ActKind>, context: SubmitContext): Promise<Prepared> {
  const staged = new StagedRecords(context.records);
  const { outcome, state } = await decideAndFold(act, context, staged);
  staged.commit();
  const entry = {
    id: act.id,
    kind: act.kind,
    happenedAt: act.happenedAt,
    receivedAt: context.receivedAt,
    actorId: context.actorId,
    deviceId: act.deviceId ?? null,
    body: act.body as Record<string, unknown>,
    outcome,
    subjects: state.subjects,
  };
  return { entry, effects: state.effects };
}

async function write(act: ActOf<ActKind>, context: SubmitContext): Promise<JournalEntry> {
  const { entry: prepared, effects } = await prepare(act, context);
  const last = await context.journal.last();
  const unsealed = {
    ...prepared,
    body: asStored(prepared.body),
    seq: (last?.seq ?? 0) + 1,
    previousHash: last?.hash ?? GENESIS_HASH,
  };
  const entry = { ...unsealed, hash: entryHash(unsealed, context.sha256Hex) };
  await context.journal.append(entry, effects);
  return entry;
}

async function decideAndFold(act: ActOf<ActKind>, context: SubmitContext, staged: StagedRecords) {
  const handler = actHandlers(context.journal)(act.kind);
  const state = new TrackedStore(staged, act.id);
  const { actorId, receivedAt, forecast } = context;
  const outcome = asStored(
    await handler.decide(act, { state, forecast, receivedAt, actorId }),
  ) as Record<string, unknown>;
  await handler.fold(act, outcome, {
    state,
    entryId: act.id,
    at: act.happenedAt,
    receivedAt,
    actorId,
  });
  return { outcome, state };
}

/** Held when it came, and not applied since. */
const isStillHeld = async (entry: JournalEntry, { records }: SubmitContext): Promise<boolean> =>
  entry.kind === 'act.hold' && (await records.get('held-act', entry.id))?.status !== 'applied';

/** @throws DomainError `act-id-reused` when the id came with another content before */
function requireSame(entry: JournalEntry, act: AnyAct): JournalEntry {
  const { kind, happenedAt, body } =
    entry.kind === 'act.hold' ? (entry.body as { act: Act }).act : entry;
  if (
    canonicalJson({ kind, happenedAt, body }) ===
    canonicalJson(asStored({ kind: act.kind, happenedAt: act.happenedAt, body: act.body }))
  )
    return entry;
  throw new DomainError(
    'act-id-reused',
    'This act id was used before for something else. Make a new id for a new act.',
    { id: act.id, entrySeq: entry.seq },
    '/id',
  );
}
