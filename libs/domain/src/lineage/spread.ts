import type { ActKind } from '@rundlet/contracts';
import type { RecordOf } from '@rundlet/contracts';
import type { Effect } from '../journal/ports.ts';
import { ethanolMg } from '../liquid/content.ts';

/** An entry that touched a vessel, with what it changed. */
export interface LiquidEntry {
  readonly seq: number;
  readonly kind: ActKind;
  readonly happenedAt: string;
  readonly body: Readonly<Record<string, unknown>>;
  readonly effects: readonly Effect[];
}
export interface SpreadReader {
  /** Entries about a record, `kind:id`, from this number on. */
  entriesOf(subject: string, fromSeq: number): Promise<readonly LiquidEntry[]>;
  vat(id: string): Promise<RecordOf<'vat'> | null>;
  filling(id: string): Promise<RecordOf<'filling'> | null>;
}

export interface Spread {
  /** What is in each vessel now that was in the cask, mg of ethanol, by `vat:id` or `filling:id`. */
  readonly held: ReadonlyMap<string, { readonly mg: number; readonly wholeMg: number }>;
  /** What has left the vessels: bottled, delivered. */
  readonly left: readonly {
    readonly entry: LiquidEntry;
    readonly mg: number;
    /** Part of the ethanol that left. */
    readonly share: number;
  }[];
}

/** They set a book right and bring nothing in: what is there keeps its origins. */
const CORRECTING: readonly ActKind[] = ['vat.gauge', 'cask.gauge', 'plan.complete'];
const LEAVING: readonly ActKind[] = ['bottling.record', 'vat.deliver'];

interface Change {
  readonly key: string;
  readonly before: number;
  readonly after: number;
}

/**
 * Where the liquid of one cask's filling has gone: through vats, top-ups and later fillings, entry by entry, mixed in
 * proportion to ethanol as liquids mix. Whatever has been in the cask counts as of it, so what is topped up counts too.
 */
export async function spreadOf(fillingId: string, reader: SpreadReader): Promise<Spread> {
  const start = `filling:${fillingId}`;
  const entries = new Map<number, LiquidEntry>();
  const reached = new Map<string, number>();
  // The earliest first, so that each vessel's entries are read once, from where it was reached.
  const waiting = new Map([[start, 0]]);
  while (waiting.size > 0) {
    let [key, fromSeq] = ['', Infinity];
    for (const [one, seq] of waiting) if (seq < fromSeq) [key, fromSeq] = [one, seq];
    waiting.delete(key);
    reached.set(key, fromSeq);
    for (const entry of await reader.entriesOf(key, fromSeq)) {
      entries.set(entry.seq, entry);
      for (const next of receivers(entry))
        if (!reached.has(next))
          waiting.set(next, Math.min(waiting.get(next) ?? Infinity, entry.seq));
    }
  }
  const inOrder = [...entries.values()].sort((a, b) => a.seq - b.seq);
  const now = await amountsNow([...reached.keys()], reader);
  const changes = changesOf(inOrder, reached, now);

  const taint = new Map<string, number>();
  const left: { entry: LiquidEntry; mg: number; share: number }[] = [];
  for (const entry of inOrder) {
    const of = changes.get(entry.seq) ?? [];
    let out = 0;
    let drawn = 0;
    let gained = 0;
    for (const { key, before, after } of of) {
      if (after >= before) {
        gained += after - before;
        continue;
      }
      drawn += before - after;
      const share = key === start ? 1 : before > 0 ? (taint.get(key) ?? 0) / before : 0;
      out += share * (before - after);
      taint.set(key, share * after);
    }
    for (const { key, before, after } of of) {
      if (after < before) continue;
      const own = taint.get(key) ?? 0;
      if (CORRECTING.includes(entry.kind) && drawn === 0)
        taint.set(key, before > 0 ? (own * after) / before : own);
      else if (drawn > 0) taint.set(key, own + (out * (after - before)) / Math.max(drawn, gained));
      if (key === start) taint.set(key, after);
    }
    if (out > 0 && LEAVING.includes(entry.kind)) left.push({ entry, mg: out, share: out / drawn });
  }
  const held = new Map<string, { mg: number; wholeMg: number }>();
  for (const [key, mg] of taint) {
    const wholeMg = now.get(key) ?? 0;
    // Less than a milligram is the rounding of divisions.
    if (wholeMg > 0 && mg >= 1) held.set(key, { mg: Math.min(mg, wholeMg), wholeMg });
  }
  return { held, left };
}

/** Vessels that an entry may have put something into. */
function receivers({ effects }: LiquidEntry): string[] {
  const intoVats = effects.reduce((sum, effect) => sum + addedTo(effect), 0);
  return effects
    .filter((effect) =>
      effect.kind === 'vat'
        ? addedTo(effect) > 0
        : // What a vat got, an older filling gave.
          effect.kind === 'filling' &&
          !(intoVats > 0 && effect.mode === 'replace' && effect.before !== null),
    )
    .map(keyOf);
}

/** Ethanol that a vat gained, mg; negative for what it gave. */
const addedTo = (effect: Effect): number =>
  effect.mode === 'add' && effect.kind === 'vat'
    ? Object.values(effect.ethanolMgByLot).reduce((sum, mg) => sum + mg, 0)
    : 0;

const isVessel = (effect: Effect): boolean => effect.kind === 'vat' || effect.kind === 'filling';
const keyOf = (effect: Effect): string => `${effect.kind}:${effect.id}`;

async function amountsNow(
  keys: readonly string[],
  reader: SpreadReader,
): Promise<Map<string, number>> {
  const now = new Map<string, number>();
  for (const key of keys) {
    const id = key.slice(key.indexOf(':') + 1);
    const vessel = key.startsWith('vat:') ? await reader.vat(id) : await reader.filling(id);
    now.set(key, vessel ? ethanolMg(vessel.content) : 0);
  }
  return now;
}

/** What each vessel held before and after each entry: worked out from what it holds now, newest entry first. */
function changesOf(
  inOrder: readonly LiquidEntry[],
  reached: ReadonlyMap<string, number>,
  now: ReadonlyMap<string, number>,
): Map<number, Change[]> {
  const held = new Map(now);
  const changes = new Map<number, Change[]>();
  for (const entry of [...inOrder].reverse()) {
    const of: Change[] = [];
    for (const effect of entry.effects) {
      const key = keyOf(effect);
      if (!isVessel(effect) || (reached.get(key) ?? Infinity) > entry.seq) continue;
      const after = held.get(key) ?? 0;
      const before = effect.mode === 'replace' ? beforeOf(effect.before) : after - addedTo(effect);
      held.set(key, before);
      of.push({ key, before, after });
    }
    changes.set(entry.seq, of);
  }
  return changes;
}

const beforeOf = (before: Readonly<Record<string, unknown>> | null): number =>
  before === null ? 0 : ethanolMg((before as unknown as RecordOf<'filling'>).content);
