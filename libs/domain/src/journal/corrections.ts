import type {
  ActKind,
  ActOf,
  BlendPlanRecord,
  BodyOf,
  DutyStatus,
  JournalEntry,
  StepKind,
} from '@rundlet/contracts';
import { requireOpenTerms } from '../account/terms.ts';
import { label } from '../acts/checks.ts';
import { handler, type ActHandler, type FoldContext } from '../acts/handler.ts';
import { DomainError } from '../errors.ts';
import { NEXT_STEP, requireFits, type SharesOfLot } from '../lineage/step-checks.ts';
import type { Effect, JournalStore } from './ports.ts';
import { asNow, type TrackedStore } from './tracked-store.ts';

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
  /** Left out by entries older than the word: then it was suspended. */
  readonly dutyStatus?: DutyStatus;
  readonly ethanolMg: number;
}
interface Reversed {
  readonly kind: ActKind;
  readonly effects: readonly Effect[];
  readonly postings: readonly PostingLine[];
  /** Where a correction of a step is taken back: the spirit lots whose shares are others then. */
  readonly lots?: readonly SharesOfLot[];
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

/** What recorded each step of the chain. */
const STEP_OF: { readonly [K in ActKind]?: StepKind } = {
  'plot.record': 'plot',
  'harvest.record': 'harvest-lot',
  'ferment.record': 'ferment',
  'still-run.record': 'still-run',
  'spirit-lot.record': 'spirit-lot',
};

/** A step of the chain that a later one was made of stays: without it that one would come from nowhere. */
async function requireUnused(
  entry: JournalEntry,
  journal: JournalStore,
  state: TrackedStore,
): Promise<void> {
  const step = STEP_OF[entry.kind];
  if (step === undefined) return;
  const id = String(entry.body['id']);
  const next = NEXT_STEP[step];
  const [made] = next === null ? [] : await state.records.madeOf(next, id);
  if (made)
    throw new DomainError(
      'later-entries-depend',
      `The ${label(next as StepKind)} ${made.code} was made of it. Reverse that one first, newest first.`,
      { kind: next, id: made.id, laterEntryId: made.lastEntryId },
      '/body/entryId',
    );
  const [receipt] =
    next === null ? await journal.standingAbout(`spirit-lot:${id}`, ['spirit.receive']) : [];
  if (receipt)
    throw new DomainError(
      'later-entries-depend',
      `Spirit of this lot was received since. Reverse its receipts first, newest first: ${named(receipt)}.`,
      { laterEntryId: receipt.id },
      '/body/entryId',
    );
}

/** What takes liquid out of a vat. */
const DRAWS: readonly ActKind[] = [
  'vat.transfer',
  'vat.deliver',
  'cask.fill',
  'cask.top-up',
  'bottling.record',
  'vat.gauge',
  'plan.complete',
];

/** Liquid that came into a vat can be taken out again only while it is there. */
async function requireStillThere(
  entry: JournalEntry,
  effects: readonly Effect[],
  journal: JournalStore,
  state: TrackedStore,
): Promise<void> {
  for (const effect of effects) {
    if (effect.mode !== 'add' || effect.kind !== 'vat') continue;
    const vat = await state.need('vat', effect.id);
    const lacking = Object.entries(effect.ethanolMgByLot).some(
      ([lot, mg]) => mg > (vat.content.ethanolMgByLot[lot] ?? 0),
    );
    if (!lacking && effect.waterMg <= vat.content.waterMg) continue;
    const [later] = (await journal.standingAbout(`vat:${vat.id}`, DRAWS)).filter(
      (draw) => draw.seq > entry.seq && draw.body['toVatId'] !== vat.id,
    );
    if (later)
      throw new DomainError(
        'later-entries-depend',
        `Liquid that came into ${vat.name} with it has left since. Reverse what took it first, newest first: ${named(later)}.`,
        { vatId: vat.id, laterEntryId: later.id },
        '/body/entryId',
      );
  }
}

const named = ({ kind, seq, happenedAt }: JournalEntry): string =>
  `entry ${String(seq)}, ${kind.replace('.', ' ')} of ${happenedAt.slice(0, 10)}`;

async function reversalOf(
  entry: JournalEntry,
  journal: JournalStore,
  state: TrackedStore,
): Promise<Reversed> {
  const effects = (await journal.effectsOf(entry.id)) ?? [];
  await requireUnused(entry, journal, state);
  await requireStillThere(entry, effects, journal, state);
  const postings = await state.records.postingsOfEntry(entry.id);
  return {
    kind: entry.kind,
    effects,
    postings: postings.map(
      ({ accountId, storeId, vesselKind, vesselId, fillingId, cause, dutyStatus, ethanolMg }) => ({
        accountId,
        storeId,
        vesselKind,
        vesselId,
        fillingId,
        cause,
        dutyStatus,
        ethanolMg,
      }),
    ),
    ...(entry.kind === 'step.correct' ? { lots: await lotsWithout(entry, effects, state) } : {}),
  };
}

/** What the shares of spirit lots come to without a correction; refused when something has been made since of what it set right. */
async function lotsWithout(
  entry: JournalEntry,
  effects: readonly Effect[],
  state: TrackedStore,
): Promise<readonly SharesOfLot[]> {
  const { kind, id } = entry.body as BodyOf<'step.correct'>;
  const now = await state.need(kind, id, '/body/entryId');
  const [own] = effects;
  // One that changed nothing has nothing to take back; one that is not the last is refused as any such entry.
  if (own?.mode !== 'replace' || now.lastEntryId !== entry.id) return [];
  return requireFits(kind, { ...now, ...asNow(own.before ?? {}, now) }, state, '/body/entryId');
}

async function takeBack(
  entryId: string,
  { kind, effects, postings, lots = [] }: Reversed,
  { state, at }: FoldContext,
): Promise<void> {
  await state.undo(effects, entryId);
  if (kind === 'spirit.receive')
    for (const effect of effects)
      if (effect.mode === 'add' && effect.kind === 'vat')
        for (const [lot, mg] of Object.entries(effect.ethanolMgByLot))
          await state.receive(lot, -mg);
  await state.shareAnew(lots);
  for (const line of postings)
    await state.post({
      dutyStatus: 'suspended',
      ...line,
      cause: line.cause as never,
      at,
      ethanolMg: -line.ethanolMg,
    });
}

const isOfPlan = ({ kind, body }: JournalEntry, plan: BlendPlanRecord): boolean =>
  kind === 'cask.disgorge'
    ? body['planId'] === plan.id
    : (kind === 'vat.reduce' || kind === 'vat.gauge') && body['vatId'] === plan.vatId;
