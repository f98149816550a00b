import type { ActKind, ActOf, BlendPlanRecord, BodyOf, JournalEntry } from '@rundlet/contracts';
import { requireOpenTerms } from '../account/terms.ts';
import { label } from '../acts/checks.ts';
import { handler, type ActHandler, type FoldContext } from '../acts/handler.ts';
import { DomainError } from '../errors.ts';
import type { Effect, JournalStore, MadeKind } from './ports.ts';
import type { TrackedStore } from './tracked-store.ts';

/** Entries that hold no state of their own, or whose taking back would make no sense. */
const NOT_REVERSIBLE: readonly ActKind[] = [
  'entry.reverse',
  'plan.take-back',
  'held.settle',
  'act.hold',
  'label.print',
  'spare-label.print',
  'cask.note',
  'stocktake.sign',
  'climate.import',
  'signing-key.announce',
  'checkpoint.sign',
];

export const isReversible = (kind: ActKind): boolean => !NOT_REVERSIBLE.includes(kind);

interface PostingLine {
  readonly accountId: string;
  readonly storeId: string | null;
  readonly vesselKind: 'vat' | 'cask';
  readonly vesselId: string;
  readonly fillingId: string | null;
  readonly cause: string;
  readonly ethanolMg: number;
}
interface Reversed {
  readonly kind: ActKind;
  readonly effects: readonly Effect[];
  readonly postings: readonly PostingLine[];
}
/** What a held act came to when it was tried again; null when it was discarded. */
interface Settled {
  readonly retried: { readonly act: ActOf<ActKind>; readonly outcome: object } | null;
}

/** Corrections need the journal and the other handlers as well as the state, so they are made for them. */
export function correctionActs(
  journal: JournalStore,
  handlerOf: (kind: ActKind) => ActHandler<ActKind, object>,
) {
  return {
    'entry.reverse': handler<'entry.reverse', Reversed>({
      async decide({ body }, { state }) {
        const entry = await reversible(journal, body.entryId);
        if (entry.kind === 'setting.set')
          await requireOpenTerms(state, entry.body as BodyOf<'setting.set'>);
        return reversalOf(entry, journal, state);
      },
      fold: ({ body }, reversed, context) => takeBack(body.entryId, reversed, context),
    }),

    'plan.take-back': handler<'plan.take-back', Reversed>({
      async decide({ body }, { state }) {
        const plan = await state.need('blend-plan', body.planId, '/body/planId');
        if (plan.status !== 'reserved' && plan.status !== 'drawing')
          throw new DomainError(
            'plan-closed',
            `Plan ${plan.code} is ${plan.status}; what was done for it is reversed by a keeper in the journal.`,
            { planId: plan.id, status: plan.status },
            '/body/planId',
          );
        const entry = await reversible(journal, body.entryId);
        if (!isOfPlan(entry, plan))
          throw new DomainError(
            'entry-not-reversible',
            `That entry is no draw for plan ${plan.code} and no reduction or gauge of its vat.`,
            { kind: entry.kind },
            '/body/entryId',
          );
        return reversalOf(entry, journal, state);
      },
      async fold({ body }, reversed, context) {
        context.state.mention('blend-plan', body.planId);
        await takeBack(body.entryId, reversed, context);
      },
    }),

    'act.hold': handler<'act.hold', object>({
      decide: async () => ({}),
      fold: ({ body }, _, { state, entryId, actorId, receivedAt }) =>
        state.put('held-act', {
          id: entryId,
          act: body.act,
          problem: body.problem,
          actorId,
          receivedAt,
          status: 'open',
          settledBy: null,
          resolution: null,
        }),
    }),

    'held.settle': handler<'held.settle', Settled>({
      async decide({ body }, context) {
        const held = await context.state.need('held-act', body.heldActId, '/body/heldActId');
        if (held.status !== 'open')
          throw new DomainError(
            'held-act-settled',
            `This has been settled already (${held.status}).`,
            { status: held.status },
            '/body/heldActId',
          );
        if (body.verdict === 'discard') return { retried: null };
        const act = withReason(held.act as unknown as ActOf<ActKind>, body.reason);
        return {
          retried: {
            act,
            outcome: await handlerOf(act.kind).decide(act, { ...context, actorId: held.actorId }),
          },
        };
      },
      async fold({ body }, { retried }, context) {
        const held = await context.state.need('held-act', body.heldActId);
        if (retried)
          await handlerOf(retried.act.kind).fold(retried.act, retried.outcome, {
            ...context,
            at: retried.act.happenedAt,
            actorId: held.actorId,
          });
        await context.state.put('held-act', {
          ...held,
          status: body.verdict === 'discard' ? 'discarded' : 'applied',
          settledBy: context.actorId,
          resolution: body.reason,
        });
      },
    }),
  };
}

/** A reprint held for want of a reason gets the one that it is settled with. */
const withReason = (act: ActOf<ActKind>, reason: string): ActOf<ActKind> =>
  act.kind === 'label.print' && (act as ActOf<'label.print'>).body.reason === null
    ? { ...act, body: { ...act.body, reason } }
    : act;

/** The entry, if it stands and can be taken back. */
async function reversible(journal: JournalStore, entryId: string): Promise<JournalEntry> {
  const entry = await journal.byId(entryId);
  if (!entry)
    throw new DomainError(
      'record-not-found',
      `There is no journal entry ${entryId}.`,
      {},
      '/body/entryId',
    );
  if (!isReversible(entry.kind))
    throw new DomainError(
      'entry-not-reversible',
      `An entry of the kind ${entry.kind} can't be reversed.`,
      { kind: entry.kind },
      '/body/entryId',
    );
  const already = await journal.reversalOf(entryId);
  if (already)
    throw new DomainError(
      'entry-already-reversed',
      'That entry has been reversed already.',
      { reversedBy: already },
      '/body/entryId',
    );
  return entry;
}

/** Which steps of the chain are made of what such an entry recorded. */
const NEXT_STEP: { readonly [K in ActKind]?: MadeKind } = {
  'plot.record': 'harvest-lot',
  'harvest.record': 'ferment',
  'ferment.record': 'still-run',
  'still-run.record': 'spirit-lot',
};

/** A step of the chain that a later one was made of stays: without it that one would come from nowhere. */
async function requireUnused(entry: JournalEntry, state: TrackedStore): Promise<void> {
  const next = NEXT_STEP[entry.kind];
  if (next === undefined) return;
  const [made] = await state.records.madeOf(next, String(entry.body['id']));
  if (made)
    throw new DomainError(
      'later-entries-depend',
      `The ${label(next)} ${made.code} was made of it. Reverse that one first, newest first.`,
      { kind: next, id: made.id, laterEntryId: made.lastEntryId },
      '/body/entryId',
    );
}

async function reversalOf(
  entry: JournalEntry,
  journal: JournalStore,
  state: TrackedStore,
): Promise<Reversed> {
  await requireUnused(entry, state);
  const postings = await state.records.postingsOfEntry(entry.id);
  return {
    kind: entry.kind,
    effects: (await journal.effectsOf(entry.id)) ?? [],
    postings: postings.map(
      ({ accountId, storeId, vesselKind, vesselId, fillingId, cause, ethanolMg }) => ({
        accountId,
        storeId,
        vesselKind,
        vesselId,
        fillingId,
        cause,
        ethanolMg,
      }),
    ),
  };
}

async function takeBack(
  entryId: string,
  { effects, postings }: Reversed,
  { state, at }: FoldContext,
): Promise<void> {
  await state.undo(effects, entryId);
  for (const line of postings)
    await state.post({ ...line, cause: line.cause as never, at, ethanolMg: -line.ethanolMg });
}

const isOfPlan = ({ kind, body }: JournalEntry, plan: BlendPlanRecord): boolean =>
  kind === 'cask.disgorge'
    ? body['planId'] === plan.id
    : (kind === 'vat.reduce' || kind === 'vat.gauge') && body['vatId'] === plan.vatId;
