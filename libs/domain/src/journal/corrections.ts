import type { ActKind, ActOf } from '@rundlet/contracts';
import { handler, type ActHandler } from '../acts/handler.ts';
import { DomainError } from '../errors.ts';
import type { Effect, JournalStore } from './ports.ts';

/** Entries that hold no state of their own, or whose taking back would make no sense. */
const NOT_REVERSIBLE: readonly ActKind[] = [
  'entry.reverse',
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
        const entry = await journal.byId(body.entryId);
        if (!entry)
          throw new DomainError(
            'record-not-found',
            `There is no journal entry ${body.entryId}.`,
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
        const already = await journal.reversalOf(body.entryId);
        if (already)
          throw new DomainError(
            'entry-already-reversed',
            'That entry has been reversed already.',
            { reversedBy: already },
            '/body/entryId',
          );
        const postings = await state.records.postingsOfEntry(body.entryId);
        return {
          kind: entry.kind,
          effects: (await journal.effectsOf(body.entryId)) ?? [],
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
      },
      async fold({ body }, { effects, postings }, { state, at }) {
        await state.undo(effects, body.entryId);
        for (const line of postings)
          await state.post({ ...line, cause: line.cause as never, at, ethanolMg: -line.ethanolMg });
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
        const act = held.act as unknown as ActOf<ActKind>;
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
