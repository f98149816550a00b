import type { Content, Posting, RecordKind, RecordOf } from '@rundlet/contracts';
import { monthAfter } from '../account/months.ts';
import { DomainError } from '../errors.ts';
import { add, EMPTY, ethanolMg, figuresOf, subtract } from '../liquid/content.ts';
import type { Effect, RecordStore } from './ports.ts';

/** A record without the mark of the entry that wrote it; the store puts that on. */
export type Unmarked<K extends RecordKind> = Omit<RecordOf<K>, 'lastEntryId'>;

/**
 * The state while one entry is folded: every change is marked with the entry's id and noted, so that the entry can be
 * taken back later. What adds up (liquid in a vat, casks in a position) is noted as a difference and can be
 * taken back out of order; everything else only while nothing later has touched it.
 */
export class TrackedStore {
  readonly records: RecordStore;
  readonly #entryId: string;
  readonly #effects = new Map<string, Effect>();
  readonly #subjects = new Set<string>();
  #postings = 0;

  constructor(records: RecordStore, entryId: string) {
    this.records = records;
    this.#entryId = entryId;
  }

  get effects(): Effect[] {
    return [...this.#effects.values()];
  }
  get subjects(): string[] {
    return [...this.#subjects].sort();
  }

  /** Say that the entry is about this record, whether it changes it or not. */
  mention(kind: RecordKind, id: string): void {
    this.#subjects.add(`${kind}:${id}`);
  }

  get<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null> {
    return this.records.get(kind, id);
  }

  /** @throws DomainError `record-not-found` */
  async need<K extends RecordKind>(
    kind: K,
    id: string,
    pointer: string | null = null,
  ): Promise<RecordOf<K>> {
    const found = await this.records.get(kind, id);
    if (!found)
      throw new DomainError(
        'record-not-found',
        `There is no ${kind.replaceAll('-', ' ')} ${id}.`,
        { kind, id },
        pointer,
      );
    return found;
  }

  async put<K extends RecordKind>(kind: K, record: Unmarked<K>): Promise<void> {
    const { id } = record as { id: string };
    const key = `${kind}:${id}`;
    const before = await this.records.get(kind, id);
    if (!this.#effects.has(key)) this.#effects.set(key, { mode: 'replace', kind, id, before });
    this.#write(kind, record);
  }

  /** Put liquid into a vat (or, with the contents swapped, take it out). */
  async changeVat(
    vatId: string,
    change: { in?: Content; out?: Content; agedDays?: number | null },
  ): Promise<void> {
    const vat = await this.need('vat', vatId);
    const content = subtract(add(vat.content, change.in ?? EMPTY), change.out ?? EMPTY);
    if (!content)
      throw new DomainError(
        'not-enough-liquid',
        `${vat.name} holds ${vat.figures.bulkLitresAt20C.toFixed(1)} L at ${vat.figures.strengthPercentVol.toFixed(2)} % vol by the book; that is less than is to be taken out. Gauge the vat first.`,
        { vatId, bulkLitresAt20C: vat.figures.bulkLitresAt20C },
      );
    const figures = figuresOf(content);
    if (change.in && figures.bulkLitresAt20C > vat.capacityLitres * 1.0005)
      throw new DomainError(
        'overfilled',
        `${vat.name} holds at most ${String(vat.capacityLitres)} L; it would come to ${figures.bulkLitresAt20C.toFixed(1)} L.`,
        { vatId, capacityLitres: vat.capacityLitres, wouldHoldLitres: figures.bulkLitresAt20C },
      );
    this.#noteVat(vatId, change.in ?? EMPTY, change.out ?? EMPTY);
    const agedDays =
      ethanolMg(content) === 0
        ? null
        : 'agedDays' in change
          ? (change.agedDays ?? null)
          : vat.agedDays;
    this.#write('vat', { ...vat, content, figures, agedDays });
  }

  async changeOccupied(positionId: string, by: 1 | -1): Promise<void> {
    const position = await this.need('position', positionId);
    if (position.occupied + by > position.capacity) throw positionFull(position, null);
    const key = `position:${positionId}`;
    const noted = this.#effects.get(key);
    const so = noted?.mode === 'add' && noted.kind === 'position' ? noted.occupied : 0;
    if (noted?.mode !== 'replace')
      this.#effects.set(key, { mode: 'add', kind: 'position', id: positionId, occupied: so + by });
    this.#write('position', { ...position, occupied: position.occupied + by });
  }

  /** Note that a plan's cask has been drawn, or with the sign turned, that it hasn't after all. */
  async changeDrawn(
    planId: string,
    drawn: { fillingId: string; ethanolMg: number },
    sign: 1 | -1 = 1,
  ): Promise<void> {
    const plan = await this.need('blend-plan', planId);
    const list =
      sign === 1
        ? [...plan.drawn, drawn]
        : withoutFirst(
            plan.drawn,
            (d) => d.fillingId === drawn.fillingId && d.ethanolMg === drawn.ethanolMg,
          );
    this.#effects.set(`blend-plan:${planId}`, {
      mode: 'add',
      kind: 'blend-plan',
      id: planId,
      drawn,
      sign,
    });
    const status =
      list.length > 0 ? 'drawing' : plan.status === 'drawing' ? 'reserved' : plan.status;
    this.#write('blend-plan', { ...plan, drawn: list, status });
  }

  /**
   * Give spirit lots the shares that follow from corrected steps. That is no change of the lot's own, so its mark stays and
   * taking it back is not hindered by it.
   */
  async shareAnew(
    lots: readonly Pick<RecordOf<'spirit-lot'>, 'id' | 'harvestShares' | 'plotShares'>[],
  ): Promise<void> {
    for (const shares of lots) this.#follow(await this.need('spirit-lot', shares.id), shares);
  }

  /** Add to what was received as a lot, or with the sign turned, take a receipt back; a sum, so the lot's mark stays too. */
  async receive(lotId: string, ethanolMg: number): Promise<void> {
    const lot = await this.need('spirit-lot', lotId);
    this.#follow(lot, { receivedMg: lot.receivedMg + ethanolMg });
  }

  #follow(lot: RecordOf<'spirit-lot'>, change: Partial<RecordOf<'spirit-lot'>>): void {
    this.mention('spirit-lot', lot.id);
    this.records.put('spirit-lot', { ...lot, ...change });
  }

  /**
   * One signed line of the alcohol account. Lines are never taken back; a reversal writes their negatives. What happened in
   * a closed month counts in the first open one.
   */
  async post(line: Omit<Posting, 'id' | 'entryId' | 'lastEntryId' | 'month'>): Promise<void> {
    if (line.ethanolMg === 0) return;
    this.#postings += 1;
    const happenedIn = line.at.slice(0, 7);
    const lock = await this.records.get('account-lock', 'account');
    this.records.put('posting', {
      ...line,
      id: `${this.#entryId}:${String(this.#postings)}`,
      entryId: this.#entryId,
      month: lock && happenedIn <= lock.through ? monthAfter(lock.through) : happenedIn,
      lastEntryId: this.#entryId,
    });
  }

  /**
   * Take back what another entry changed.
   * @throws DomainError `later-entries-depend` when something later has touched one of its records
   */
  async undo(effects: readonly Effect[], reversedEntryId: string): Promise<void> {
    for (const effect of effects) {
      if (effect.mode === 'add') await this.#undoSum(effect);
      else await this.#undoRecord(effect, reversedEntryId);
    }
  }

  async #undoSum(effect: Extract<Effect, { mode: 'add' }>): Promise<void> {
    switch (effect.kind) {
      case 'vat':
        await this.changeVat(effect.id, {
          in: positivePart(effect, -1),
          out: positivePart(effect, 1),
        });
        break;
      case 'position':
        for (let i = 0; i < Math.abs(effect.occupied); i++)
          await this.changeOccupied(effect.id, effect.occupied > 0 ? -1 : 1);
        break;
      case 'blend-plan':
        await this.changeDrawn(effect.id, effect.drawn, effect.sign === 1 ? -1 : 1);
        break;
    }
  }

  async #undoRecord(
    effect: Extract<Effect, { mode: 'replace' }>,
    reversedEntryId: string,
  ): Promise<void> {
    const now = await this.records.get(effect.kind, effect.id);
    const mark = now ? (now as { lastEntryId: string }).lastEntryId : null;
    if (mark !== reversedEntryId)
      throw new DomainError(
        'later-entries-depend',
        `A later entry has changed the same ${effect.kind.replaceAll('-', ' ')}. Reverse that one first, newest first.`,
        { kind: effect.kind, id: effect.id, laterEntryId: mark },
      );
    this.#effects.set(`${effect.kind}:${effect.id}`, {
      mode: 'replace',
      kind: effect.kind,
      id: effect.id,
      before: now,
    });
    this.mention(effect.kind, effect.id);
    if (effect.before === null) this.records.remove(effect.kind, effect.id);
    // The record goes back to what it was, its old mark included: entries before the reversed one can then be reversed in turn.
    else this.records.put(effect.kind, asNow(effect.before, now) as never);
  }

  #noteVat(vatId: string, inflow: Content, outflow: Content): void {
    const noted = this.#effects.get(`vat:${vatId}`);
    // A vat registered by this very entry is taken back whole.
    if (noted?.mode === 'replace') return;
    const sum =
      noted?.mode === 'add' && noted.kind === 'vat' ? noted : { waterMg: 0, ethanolMgByLot: {} };
    const byLot: Record<string, number> = { ...sum.ethanolMgByLot };
    for (const [lot, mg] of Object.entries(inflow.ethanolMgByLot))
      byLot[lot] = (byLot[lot] ?? 0) + mg;
    for (const [lot, mg] of Object.entries(outflow.ethanolMgByLot))
      byLot[lot] = (byLot[lot] ?? 0) - mg;
    this.#effects.set(`vat:${vatId}`, {
      mode: 'add',
      kind: 'vat',
      id: vatId,
      waterMg: sum.waterMg + inflow.waterMg - outflow.waterMg,
      ethanolMgByLot: byLot,
    });
  }

  #write<K extends RecordKind>(kind: K, record: Unmarked<K>): void {
    this.mention(kind, (record as { id: string }).id);
    this.records.put(kind, { ...record, lastEntryId: this.#entryId } as RecordOf<K>);
  }
}

/** A spirit lot's receipts add up whatever else is taken back. */
export const asNow = <R extends object>(before: R, now: RecordOf<RecordKind> | null): R =>
  now && 'receivedMg' in now ? { ...before, receivedMg: now.receivedMg } : before;

/** The refusal of a place with no room left. */
export function positionFull(position: RecordOf<'position'>, pointer: string | null): DomainError {
  return new DomainError(
    'position-full',
    `Position ${position.code} holds ${String(position.capacity)} and is full. Choose another, or move what stands there first.`,
    { positionId: position.id, capacity: position.capacity, occupied: position.occupied },
    pointer,
  );
}

/** The part of a vat's change with this sign, as a content. */
function positivePart(
  change: { waterMg: number; ethanolMgByLot: Readonly<Record<string, number>> },
  sign: 1 | -1,
): Content {
  return {
    waterMg: Math.max(0, sign * change.waterMg),
    ethanolMgByLot: Object.fromEntries(
      Object.entries(change.ethanolMgByLot)
        .map(([lot, mg]) => [lot, Math.max(0, sign * mg)] as const)
        .filter(([, mg]) => mg > 0),
    ),
  };
}

function withoutFirst<T>(list: readonly T[], matches: (item: T) => boolean): T[] {
  const at = list.findIndex(matches);
  return at < 0 ? [...list] : [...list.slice(0, at), ...list.slice(at + 1)];
}
